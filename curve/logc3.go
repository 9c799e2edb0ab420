package curve

import "math"

// logC3Indexes are those of the printed tables; the last three follow from the generator.
var logC3Indexes = []int{160, 200, 250, 320, 400, 500, 640, 800, 1000, 1280, 1600, 2000, 2560, 3200}

// logC3 returns the Log C shape of an exposure index and its signal maximum, from the
// generator behind the printed table (ALEXA Log C Curve - Usage in VFX, SUP 3.x, "linear
// scene exposure factor"), as the Academy's ARRI input transforms carry it.
func logC3(index int) (s Shape, top float64) {
	const (
		grey      = 400.0 / 1023 // signal of 18 % at every index
		black     = 95.0 / 1023
		cut       = 1.0 / 9       // of the logarithm's argument
		sensorTop = 1 - 16.0/4095 // above sensor black
		sensorMid = 0.01          // sensor signal of 18 % at index 400
		in        = 1 / 0.18
		toeGain   = 1 / (cut * math.Ln10)
	)
	toeOffset := math.Log10(cut) - toeGain*cut
	speed := float64(index) / 400
	gain := 500.0 / 1023 * 0.525 * (1 - 0.11*math.Log2(speed)/3)
	offset, lift := grey, 0.0
	for range 3 {
		lift = ((black-offset)/gain - toeOffset) / toeGain
		offset = grey - gain*math.Log10(1+lift)
	}
	log := logarithm{10, gain, in, lift, offset}
	toe := line{gain * toeGain * in, gain*(toeGain*lift+toeOffset) + offset}
	above := span{fromX: (cut - lift) / in, Shape: log}
	top = gain*math.Log10(sensorTop*speed/sensorMid+lift) + offset
	if top <= 1 {
		return join(toe, above), top
	}
	bend := shoulder{log, top}
	return join(toe, above,
		span{fromX: log.Decode(shoulderFrom), Shape: bend},
		span{fromX: log.Decode(top), Shape: bend.beyond()}), 1
}

// A shoulder bends the signal of a logarithm above shoulderFrom so that its maximum, which
// would lie beyond 1, lands on 1: decoded, a cubic Hermite that leaves with the logarithm's
// own slope. (End slope, the square of the mean: from memory of the Academy's script.)
type shoulder struct {
	log logarithm
	top float64 // signal maximum before the bend
}

const shoulderFrom = 0.8

// unbend returns the plain logarithm's signal for a bent one in shoulderFrom..1, and the
// derivative.
func (s shoulder) unbend(n float64) (plain, slope float64) {
	const width = 1 - shoulderFrom
	mean := (s.top - shoulderFrom) / width
	t := (n - shoulderFrom) / width
	// plain = 0.8 + width (t + a t^2 + b t^3), slopes 1 at t = 0 and mean^2 at t = 1.
	a := 3*mean - 2 - mean*mean
	b := 1 + mean*mean - 2*mean
	return shoulderFrom + width*t*(1+t*(a+t*b)), 1 + t*(2*a+3*b*t)
}

func (s shoulder) Encode(x float64) float64 {
	plain := s.log.Encode(x)
	n := shoulderFrom + (plain-shoulderFrom)*(1-shoulderFrom)/(s.top-shoulderFrom)
	for range 50 { // Newton on a convex, increasing cubic
		at, slope := s.unbend(n)
		step := (at - plain) / slope
		n -= step
		if math.Abs(step) < 1e-16 {
			break
		}
	}
	return n
}

func (s shoulder) Decode(n float64) float64 {
	plain, _ := s.unbend(n)
	return s.log.Decode(plain)
}

func (s shoulder) Slope(n float64) float64 {
	plain, slope := s.unbend(n)
	return s.log.Slope(plain) * slope
}

// beyond continues the shoulder straight, past the recorded range.
func (s shoulder) beyond() Shape {
	_, slope := s.unbend(1)
	return logarithm{s.log.base, s.log.gain / slope, s.log.in, s.log.lift,
		1 - (s.top-s.log.offset)/slope}
}
