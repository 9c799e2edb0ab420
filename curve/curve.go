// Package curve knows the published transfer functions and turns recorded codes into
// scene-linear light and back. It has the types of the tool's quantities, sees no frames, reads no
// files and imports nothing of ours.
package curve

import "math"

// A Curve is one transfer function: scene-linear light to the normalised value n of its
// published formula, and back. Every curve increases and is defined for every real number;
// scene-linear light is scaled so that 0.18 (MidGrey) is the curve's nominal mid grey.
type Curve struct {
	Name       string     // as published
	Also       []string   // other names in use that Find knows
	Source     Source     // where it was published
	Convention Convention // what n stands for in a narrow-range recording
	Grade      Grade      // how well Convention is evidenced
	Recorded   bool       // a camera records it; false for display and working curves
	Index      int        // exposure index of this variant; 0 where the curve has none
	Range      Range      // of the files that hold the curve, as a rule

	// Top is n at the end of the published range. It bounds the recording: the sensor usually
	// clips lower.
	Top   float64
	Limit Limit  // where cameras' recordings end, as published; zero where nothing is published
	Note  string // what a user must know to trust a reading; may be empty

	shape   Shape
	indexes *indexes // variants by exposure index, or nil
}

// indexes are the variants of a curve that depends on the camera's exposure index.
type indexes struct {
	allowed []int
	usual   int
	build   func(index int) (s Shape, top float64)
}

// A Limit is the level at which the recordings of a curve's cameras end, below the curve's own top.
type Limit struct {
	Percent Percent // video level; 0 where nothing is published
	Source  Source  // where it was published
}

// A Source is where something was published.
type Source struct {
	Title string // document
	Where string // edition, date, section
}

// String returns "title, edition".
func (s Source) String() string {
	if s.Where == "" {
		return s.Title
	}
	return s.Title + ", " + s.Where
}

// New returns a curve without a name, of a shape that takes light 0.18 for mid grey and whose
// n ends at top. It is VideoScaled and Open; the caller sets what is known better.
func New(s Shape, top float64) *Curve { return &Curve{Convention: VideoScaled, Top: top, shape: s} }

// Encode returns the formula's n for scene-linear light (0.18 for mid grey). NaN gives NaN,
// and light outside the curve's domain gives its end value.
func (c *Curve) Encode(l Light) float64 {
	x := float64(l)
	if math.IsNaN(x) {
		return x
	}
	return c.shape.Encode(x)
}

// Decode returns the scene-linear light for the formula's n: the exact inverse of Encode.
// Where a paper prints its inverse rounded on its own, or its pieces do not meet, this
// differs from the printed inverse by less than a code (see joined). NaN gives NaN.
func (c *Curve) Decode(n float64) Light {
	if math.IsNaN(n) {
		return Light(n)
	}
	return Light(c.shape.Decode(n))
}

// DecodeSlope returns the derivative of Decode at n: scene-linear light per unit of n. It is
// 0 where Decode holds an end value, and NaN for NaN.
func (c *Curve) DecodeSlope(n float64) float64 {
	if math.IsNaN(n) {
		return n
	}
	return c.shape.Slope(n)
}
