package analyze

import (
	"math"

	"stopledger/curve"
)

// A toneScale tells light and stops by file code, from tables: cells ask for them by the
// thousand in every frame.
type toneScale struct {
	linear []float64 // scene-linear light
	slope  []float64 // light per file code
	stops  []float64 // recorded stops, DarkestTone at least
}

func newToneScale(r curve.Reading) *toneScale {
	s := &toneScale{linear: r.Table()}
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
