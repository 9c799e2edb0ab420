package clipping

import (
	"math"
	"slices"
)

// unrounded returns the variance of noise of which rounding made a variance; rounding is what it adds to noise
// of many steps, a twelfth of a step squared. Noise below a third of a step is not moved by a twelfth: it is
// seldom moved at all.
func unrounded(variance, rounding float64) float64 {
	if rounding <= 0 {
		return max(variance, 0)
	}
	step := 12 * rounding
	v := variance / step
	at, _ := slices.BinarySearch(roundedSigmas, v)
	switch {
	case at == 0:
		return 0
	case at == len(roundedSigmas):
		return variance - rounding
	}
	part := (v - roundedSigmas[at-1]) / (roundedSigmas[at] - roundedSigmas[at-1])
	sigma := (float64(at-1) + part) / sigmasPerStep
	return sigma * sigma * step
}

const sigmasPerStep = 128 // of roundedSigmas

// roundedSigmas are the variances, in steps^2, that rounding makes of standard deviations up to half a step.
var roundedSigmas = func() (all []float64) {
	for i := range sigmasPerStep/2 + 1 {
		sigma := float64(i) / sigmasPerStep
		all = append(all, rounded(sigma*sigma))
	}
	return all
}()

// rounded returns the variance, in steps^2, that rounding to whole steps makes of normal noise, wherever between
// two steps its mean lies:
//
//	v + 1/12 - sum over n = 1, 2, ... of exp(-4 pi^2 n^2 v) / (2 pi^2 n^2)
//
// Two samples that differ by d come out d^2 + f (1 - f) apart in the mean of squares, f the fraction of d, and
// f (1 - f) is 1/6 - sum of cos(2 pi n d) / (pi n)^2.
func rounded(v float64) float64 {
	const terms = 400
	sum := v + 1.0/12
	for n := 1.0; n <= terms; n++ {
		sum -= math.Exp(-4*math.Pi*math.Pi*n*n*v) / (2 * math.Pi * math.Pi * n * n)
	}
	return sum
}
