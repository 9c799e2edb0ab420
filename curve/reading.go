package curve

import "math"

// A Reading is everything needed to turn the codes of one file into scene-linear light and
// back: the curve, the file's range and its bit depth. It owns convention x range x depth, and
// nothing else scales a code.
//
// A data curve in a file flagged full range is read as n = code / (2^bits - 1). No curve
// document says what a camera means by such a file: doubt the range when grey looks wrong.
type Reading struct {
	Curve *Curve // transfer function the file was recorded with
	Range Range  // how its codes span the signal
	Bits  int    // depth of a sample, 8..16
}

// PerCode returns how many file codes make one code of the 10-bit scale: 2^(bits-10).
func (r Reading) PerCode() float64 { return math.Exp2(float64(r.Bits) - 10) }

// Code returns a file code on the 10-bit scale.
func (r Reading) Code(c FileCode) Code { return Code(float64(c) / r.PerCode()) }

// FileCode returns a code of the 10-bit scale at the file's depth.
func (r Reading) FileCode(c Code) FileCode { return FileCode(float64(c) * r.PerCode()) }

// Variance returns a variance of file codes on the 10-bit scale.
func (r Reading) Variance(v float64) CodeVariance { return CodeVariance(v / r.PerCode() / r.PerCode()) }

// Codes returns how many codes the file can hold, 2^bits.
func (r Reading) Codes() int { return 1 << r.Bits }

// Signal returns the formula's n for a file code.
func (r Reading) Signal(c FileCode) float64 {
	code := float64(c)
	switch {
	case r.Range == Full:
		return code / float64(r.Codes()-1)
	case r.Curve.Convention == DataCodes:
		return code / r.PerCode() / 1023
	default:
		return (code/r.PerCode() - 64) / 876
	}
}

// Recorded returns the file code, unrounded, at which n is recorded.
func (r Reading) Recorded(n float64) FileCode {
	switch {
	case r.Range == Full:
		return FileCode(n * float64(r.Codes()-1))
	case r.Curve.Convention == DataCodes:
		return FileCode(n * 1023 * r.PerCode())
	default:
		return FileCode((64 + 876*n) * r.PerCode())
	}
}

// Percent returns the video level of a file code, as a zebra shows it: 0 at code 64 and 100 at
// code 940 of a narrow-range recording of the same signal.
func (r Reading) Percent(c FileCode) Percent {
	n := r.Signal(c)
	if r.Curve.Convention == DataCodes {
		return Percent((n*1023 - 64) / 8.76)
	}
	return Percent(n * 100)
}

// Light returns the scene-linear light of a file code: 0.18 for nominal mid grey. It may be
// negative: noise around black is, and must stay so until after the mean.
func (r Reading) Light(c FileCode) Light { return r.Curve.Decode(r.Signal(c)) }

// CodeOf returns the file code, unrounded, at which scene-linear light is recorded.
func (r Reading) CodeOf(l Light) FileCode { return r.Recorded(r.Curve.Encode(l)) }

// PercentOf returns the video level at which scene-linear light is recorded.
func (r Reading) PercentOf(l Light) Percent { return r.Percent(r.CodeOf(l)) }

// LightPerCode returns the change of scene-linear light per file code at a code.
func (r Reading) LightPerCode(c FileCode) float64 {
	return r.Curve.DecodeSlope(r.Signal(c)) * (r.Signal(c+1) - r.Signal(c))
}

// Stops returns the recorded stops of a file code: log2(light / 0.18); -Inf at or below no light.
func (r Reading) Stops(c FileCode) Stops { return r.Light(c).Stops() }

// Top returns the file code at which the curve or the file ends, whichever comes first.
func (r Reading) Top() FileCode { return min(r.Last(), r.Recorded(r.Curve.Top)) }

// Limit returns the file code at which recordings of the curve end as published, Top where nothing
// is published.
func (r Reading) Limit() FileCode {
	p := float64(r.Curve.Limit.Percent)
	switch {
	case p == 0:
		return r.Top()
	case r.Curve.Convention == DataCodes:
		return min(r.Top(), r.Recorded((64+8.76*p)/1023))
	}
	return min(r.Top(), r.Recorded(p/100))
}

// Last returns the highest file code that may hold picture: narrow-range files keep 1020..1023
// for timing references (Recommendation ITU-R BT.2100-2, table 9).
func (r Reading) Last() FileCode {
	if r.Range == Full {
		return FileCode(r.Codes() - 1)
	}
	return r.FileCode(1020) - 1
}

// A Level is a recorded level, as code and as zebras show it.
type Level struct {
	Code    Code    `json:"code"`    // on the 10-bit scale
	Percent Percent `json:"percent"` // video level
}

// Level returns the level of a file code.
func (r Reading) Level(c FileCode) Level { return Level{r.Code(c), r.Percent(c)} }
