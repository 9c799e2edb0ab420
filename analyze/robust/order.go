package robust

import (
	"math"
	"slices"
)

// Median returns the middle value, the mean of the two middle ones where their number is even,
// NaN for none: the quantile 0.5 of Hyndman and Fan, "Sample quantiles in statistical packages",
// The American Statistician 50 (1996), definition 7. It is unbiased for symmetric distributions;
// its standard error is 1.25 times the mean's for normal ones.
func Median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// Quantile returns the p quantile, p in 0..1, of values in ascending order, NaN for none: the value
// at the place p (n - 1) counted from 0, on the straight line between two values (Hyndman and Fan
// 1996, definition 7). gonum's stat.Quantile with LinInterp is their definition 4, which takes the
// place p n - 1 and so lies lower by up to a whole place.
func Quantile(sorted []float64, p float64) float64 {
	if len(sorted) == 0 {
		return math.NaN()
	}
	at := p * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
