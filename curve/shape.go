package curve

import "math"

// A Shape is the function of a curve, increasing, from light x in its paper's unit to n. Its
// arguments are never NaN. Line, Log, Join and Points make shapes.
type Shape interface {
	Encode(x float64) float64 // n of light x
	Decode(n float64) float64 // light x of n: the inverse of Encode
	Slope(n float64) float64  // dx/dn of Decode
}

// A line is n = gain x + offset.
type line struct{ gain, offset float64 }

func (l line) Encode(x float64) float64 { return l.gain*x + l.offset }
func (l line) Decode(n float64) float64 { return (n - l.offset) / l.gain }
func (l line) Slope(float64) float64    { return 1 / l.gain }

// Line returns n = gain x + offset. The gain must be above 0.
func Line(gain, offset float64) Shape { return line{gain, offset} }

// lineThrough is the line through two points.
func lineThrough(x1, n1, x2, n2 float64) line {
	gain := (n2 - n1) / (x2 - x1)
	return line{gain, n1 - gain*x1}
}

// A hold ends a curve whose formula does: every x is recorded as n and reads back as x.
type hold struct{ x, n float64 }

func (h hold) Encode(float64) float64 { return h.n }
func (h hold) Decode(float64) float64 { return h.x }
func (h hold) Slope(float64) float64  { return 0 }

// A logarithm is n = gain log_base(in x + lift) + offset. With gain and in both
// negative it is the mirrored logarithm of the two-sided curves.
type logarithm struct {
	base, gain, in, lift, offset float64
}

func (l logarithm) Encode(x float64) float64 { return l.gain*l.log(l.in*x+l.lift) + l.offset }
func (l logarithm) Decode(n float64) float64 {
	return (l.pow((n-l.offset)/l.gain) - l.lift) / l.in
}
func (l logarithm) Slope(n float64) float64 {
	return l.pow((n-l.offset)/l.gain) * math.Log(l.base) / (l.gain * l.in)
}

func (l logarithm) log(u float64) float64 {
	switch l.base {
	case 10:
		return math.Log10(u)
	case 2:
		return math.Log2(u)
	}
	return math.Log(u) / math.Log(l.base)
}

func (l logarithm) pow(e float64) float64 {
	switch l.base {
	case 2:
		return math.Exp2(e)
	case math.E:
		return math.Exp(e)
	}
	return math.Pow(l.base, e)
}

// Log returns n = gain log_base(in x + lift) + offset, for in x + lift above 0. It must increase:
// gain x in / ln(base) above 0.
func Log(base, gain, in, lift, offset float64) Shape {
	return logarithm{base, gain, in, lift, offset}
}

// A power is n = gain (in x + lift)^exponent + offset, odd about its foot: what lies
// below it is the mirror image of what lies above.
type power struct {
	gain, in, lift, exponent, offset float64
}

func (p power) Encode(x float64) float64 {
	return p.gain*oddPow(p.in*x+p.lift, p.exponent) + p.offset
}
func (p power) Decode(n float64) float64 {
	return (oddPow((n-p.offset)/p.gain, 1/p.exponent) - p.lift) / p.in
}

// The foot of an exponent above 1 is vertical when decoded; the slope is taken no nearer to
// it than this, so that it stays a number.
const nearestFoot = 1e-6

func (p power) Slope(n float64) float64 {
	v := math.Abs((n - p.offset) / p.gain)
	if p.exponent > 1 {
		v = max(v, nearestFoot)
	}
	return math.Pow(v, 1/p.exponent-1) / (p.exponent * p.gain * p.in)
}

func oddPow(u, e float64) float64 { return math.Copysign(math.Pow(math.Abs(u), e), u) }

// A scaled shape counts light in units of which one is this reflectance.
type scaled struct {
	unit float64
	of   Shape
}

func (s scaled) Encode(x float64) float64 { return s.of.Encode(x / s.unit) }
func (s scaled) Decode(n float64) float64 { return s.of.Decode(n) * s.unit }
func (s scaled) Slope(n float64) float64  { return s.of.Slope(n) * s.unit }
