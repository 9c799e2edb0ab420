package analyze

import (
	"math"

	"stopledger/curve"
)

// A toneScale tells light and stops by file code, from tables: cells ask for them by the
// thousand in every frame.
type toneScale struct {
	reading curve.Reading

	linear []float64 // scene-linear light
	slope  []float64 // light per file code
	stops  []float64 // recorded stops, DarkestTone at least
}

func newToneScale(r curve.Reading) *toneScale {
	s := &toneScale{reading: r, linear: r.Table()}
	for code := range s.linear {
		s.slope = append(s.slope, r.LinearPerCode(float64(code)))
		s.stops = append(s.stops, math.Max(curve.ToStops(s.linear[code]), darkest))
	}
	return s
}

// at interpolates a table between the codes around a mean code.
func at(table []float64, code float64) float64 {
	code = min(max(code, 0), float64(len(table)-1))
	i := int(code)
	if i+1 == len(table) {
		return table[i]
	}
	return table[i] + (code-float64(i))*(table[i+1]-table[i])
}

// light returns mean and standard deviation of the light whose recorded codes have this mean and
// standard deviation. The noise of light is taken as normal; where the curve bends or has a kink
// within it, the slope at the mean code would not do. Three nodes of Gauss and Hermite stand for
// the distribution: 0 with weight 2/3, and sqrt 3 standard deviations either way with 1/6.
func (s *toneScale) light(code, sigmaCode float64) (linear, sigma float64) {
	linear = at(s.linear, code)
	sigma = sigmaCode * at(s.slope, code)
	if !(sigma > 0) {
		return linear, 0
	}
	for range 6 {
		low := s.reading.CodeOf(linear - math.Sqrt(3)*sigma)
		middle := s.reading.CodeOf(linear)
		high := s.reading.CodeOf(linear + math.Sqrt(3)*sigma)
		mean := (low + 4*middle + high) / 6
		spread := math.Sqrt((low-mean)*(low-mean)/6 + (middle-mean)*(middle-mean)*2/3 + (high-mean)*(high-mean)/6)
		if !(spread > 0) {
			break
		}
		linear += (code - mean) * sigma / spread
		sigma *= sigmaCode / spread
	}
	return linear, sigma
}
