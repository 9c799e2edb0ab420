package curve

import "math"

// MidGrey is the scene-linear reflectance of nominal mid grey.
const MidGrey = 0.18

// The quantities of the tool, each a type of its own over float64, so that two of them cannot be
// mixed by mistake. Only a Reading turns one of a file's into another. A quantity that was not
// measured is NaN; what is not finite is written to JSON as null and null is read as NaN. Each
// type owns how many digits it is written and printed with.
type (
	// Stops are factors of two of scene-linear light. What they count from (nominal grey, the
	// subject's grey, a difference) is said beside each field.
	Stops float64
	// Light is scene-linear light: 0.18 at the curve's nominal mid grey. It may be negative.
	Light float64
	// FileCode is a recorded code as the file holds it, at the file's own depth; not always whole.
	FileCode float64
	// Code is a recorded code on the 10-bit scale, as people quote it: file code / 2^(bits-10).
	Code float64
	// CodeVariance is a variance of codes, on the 10-bit scale squared.
	CodeVariance float64
	// Percent is a video level in percent, as zebras show it, or a level of a display's signal.
	Percent float64
	// Decibels are 20 log10 of a ratio of signal and noise.
	Decibels float64
	// Share is a share of the frame, or of another whole, 0..1.
	Share float64
	// Ratio is a number without a unit: a slope, a factor, a confidence.
	Ratio float64
	// Amount is a number whose unit is said beside it, where one list holds several quantities.
	Amount float64
	// Seconds are a time within a clip, or a length of time.
	Seconds float64
)

// Finite tells whether a quantity was measured: it is neither NaN nor infinite.
func Finite[T ~float64](v T) bool { return !math.IsNaN(float64(v)) && !math.IsInf(float64(v), 0) }

// Unknown is the value of a quantity that was not measured.
func Unknown[T ~float64]() T { return T(math.NaN()) }

// Round rounds half away from zero to a number of decimals; the result is never -0.
func Round[T ~float64](v T, decimals int) T {
	scale := math.Pow10(decimals)
	r := math.Round(float64(v)*scale) / scale
	if math.IsInf(r, 0) {
		return v // beyond the scale there are no decimals to round
	}
	return T(r + 0) // -0 + 0 is 0
}

// Stops returns log2(light / 0.18), -Inf at or below no light.
func (l Light) Stops() Stops {
	if !(l > 0) {
		return Stops(math.Inf(-1))
	}
	return Stops(math.Log2(float64(l) / MidGrey))
}

// Light returns 0.18 x 2^stops.
func (s Stops) Light() Light { return Light(MidGrey * math.Exp2(float64(s))) }

// Gain returns 2^stops, the factor of light that an exposure change makes.
func (s Stops) Gain() float64 { return math.Exp2(float64(s)) }
