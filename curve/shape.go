package curve

import "math"

// A shape is an increasing function from light x, in its paper's unit, to n. Its arguments
// are never NaN.
type shape interface {
	encode(x float64) float64
	decode(n float64) float64
	slope(n float64) float64 // dx/dn of decode
}

// A line is n = gain x + offset.
type line struct{ gain, offset float64 }

func (l line) encode(x float64) float64 { return l.gain*x + l.offset }
func (l line) decode(n float64) float64 { return (n - l.offset) / l.gain }
func (l line) slope(float64) float64    { return 1 / l.gain }

// lineThrough is the line through two points.
func lineThrough(x1, n1, x2, n2 float64) line {
	gain := (n2 - n1) / (x2 - x1)
	return line{gain, n1 - gain*x1}
}

// A hold ends a curve whose formula does: every x is recorded as n and reads back as x.
type hold struct{ x, n float64 }

func (h hold) encode(float64) float64 { return h.n }
func (h hold) decode(float64) float64 { return h.x }
func (h hold) slope(float64) float64  { return 0 }

// A logarithm is n = gain log_base(slope x + lift) + offset. With gain and slope both
// negative it is the mirrored logarithm of the two-sided curves.
type logarithm struct {
	base, gain, in, lift, offset float64
}

func (l logarithm) encode(x float64) float64 { return l.gain*l.log(l.in*x+l.lift) + l.offset }
func (l logarithm) decode(n float64) float64 {
	return (l.pow((n-l.offset)/l.gain) - l.lift) / l.in
}
func (l logarithm) slope(n float64) float64 {
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

// A power is n = gain (slope x + lift)^exponent + offset, odd about its foot: what lies
// below it is the mirror image of what lies above.
type power struct {
	gain, in, lift, exponent, offset float64
}

func (p power) encode(x float64) float64 {
	return p.gain*oddPow(p.in*x+p.lift, p.exponent) + p.offset
}
func (p power) decode(n float64) float64 {
	return (oddPow((n-p.offset)/p.gain, 1/p.exponent) - p.lift) / p.in
}

// The foot of an exponent above 1 is vertical when decoded; the slope is taken no nearer to
// it than this, so that it stays a number.
const nearestFoot = 1e-6

func (p power) slope(n float64) float64 {
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
	of   shape
}

func (s scaled) encode(x float64) float64 { return s.of.encode(x / s.unit) }
func (s scaled) decode(n float64) float64 { return s.of.decode(n) * s.unit }
func (s scaled) slope(n float64) float64  { return s.of.slope(n) * s.unit }
