package curve

import "math"

// MidGrey is the scene-linear reflectance of nominal mid grey.
const MidGrey = 0.18

// A Convention says what the normalised value n of a published formula stands for in a
// narrow-range recording.
type Convention int

const (
	// DataCodes: n x 1023 is the recorded 10-bit code (S-Log3, V-Log, F-Log ...).
	DataCodes Convention = iota
	// VideoScaled: n = 0..1 sits on codes 64..940 (LogC3, HLG, BT.709 ...).
	VideoScaled
)

// A Range is how a file's codes span the video signal (Recommendation ITU-R BT.2100-2, table 9).
type Range int

const (
	// Narrow: black 64, white 940 at 10 bits.
	Narrow Range = iota
	// Full: black 0, white 2^bits - 1.
	Full
)

// A Reading is everything needed to turn the codes of one file into scene-linear light and
// back: the curve, the file's range and its bit depth. It owns convention x range x depth.
//
// A data curve in a file flagged full range is read as n = code / (2^bits - 1). No curve
// document says what a camera means by such a file: doubt the range when grey looks wrong.
//
// "File code" is the integer as the file holds it; "code10" is the same on the 10-bit scale
// (file code / 2^(bits-10)), as people quote it.
type Reading struct {
	Curve *Curve
	Range Range
	Bits  int // 8..16
}

// Signal returns the formula's n for a file code.
func (r Reading) Signal(code float64) float64 {
	top := math.Exp2(float64(r.Bits)) - 1
	step := math.Exp2(float64(r.Bits) - 10)
	switch {
	case r.Range == Full:
		return code / top
	case r.Curve.Convention == DataCodes:
		return code / step / 1023
	default:
		return (code/step - 64) / 876
	}
}

// Code returns the file code, unrounded, at which n is recorded.
func (r Reading) Code(n float64) float64 {
	top := math.Exp2(float64(r.Bits)) - 1
	step := math.Exp2(float64(r.Bits) - 10)
	switch {
	case r.Range == Full:
		return n * top
	case r.Curve.Convention == DataCodes:
		return n * 1023 * step
	default:
		return (64 + 876*n) * step
	}
}

// Code10 returns a file code on the 10-bit scale.
func (r Reading) Code10(code float64) float64 { return code / math.Exp2(float64(r.Bits)-10) }

// Percent returns the video level in percent, as a zebra shows it: 0 at code 64 and 100 at
// code 940 of a narrow-range recording of the same signal.
func (r Reading) Percent(code float64) float64 {
	n := r.Signal(code)
	if r.Curve.Convention == DataCodes {
		return (n*1023 - 64) / 8.76
	}
	return n * 100
}

// Linear returns the scene-linear light of a file code: 0.18 for nominal mid grey. It may be
// negative: noise around black is, and must stay so until after the mean.
func (r Reading) Linear(code float64) float64 { return r.Curve.Decode(r.Signal(code)) }

// CodeOf returns the file code, unrounded, at which scene-linear light is recorded.
func (r Reading) CodeOf(linear float64) float64 { return r.Code(r.Curve.Encode(linear)) }

// LinearPerCode returns the change of scene-linear light per file code at a code.
func (r Reading) LinearPerCode(code float64) float64 {
	return r.Curve.DecodeSlope(r.Signal(code)) * (r.Signal(code+1) - r.Signal(code))
}

// Stops returns the recorded stops of a file code: log2(linear / 0.18); -Inf at or below no light.
func (r Reading) Stops(code float64) float64 { return ToStops(r.Linear(code)) }

// Table returns the scene-linear light of each file code 0 .. 2^bits-1.
func (r Reading) Table() []float64 {
	t := make([]float64, 1<<r.Bits)
	for c := range t {
		t[c] = r.Linear(float64(c))
	}
	return t
}

// ToStops returns log2(linear / 0.18), -Inf at or below no light.
func ToStops(linear float64) float64 {
	if !(linear > 0) {
		return math.Inf(-1)
	}
	return math.Log2(linear / MidGrey)
}

// FromStops returns 0.18 x 2^stops.
func FromStops(stops float64) float64 { return MidGrey * math.Exp2(stops) }
