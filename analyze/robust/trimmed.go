package robust

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// startQuantile is where the trimmed variance starts: low, where what moves comes last.
	startQuantile = 0.15
	// acceptSpreads is how many standard deviations over the centre a variance is still accepted.
	acceptSpreads = 3.0
	// mostTurns bounds the turns of centre and cut; a few settle it.
	mostTurns = 50
)

// A Trimmed is a variance estimated from many, of which some are too large.
type Trimmed struct {
	Kept     int     // how many of the smallest were accepted
	Variance float64 // NaN where none was
	Relative float64 // its standard error / Variance
}

// TrimmedVariance returns the variance that samples of one distribution have in common, from their
// variances in ascending order, each of so many degrees of freedom. Samples that hold still have
// variances spread as chi-squared over its freedom around the true one; those in which something
// moves lie above. The estimate is an upper-trimmed mean. It starts from the quantile 0.15, divided
// by that of chi-squared, then takes the mean of all variances up to three standard deviations over
// the centre, divided by the mean of a normal distribution cut off there, until nothing changes.
// A mean of what is accepted is as efficient as the data allow, where a median would lose a
// third of its information.
//
// The spread that the cut is set by is chi-squared's, sqrt(2 / freedom), or that of the lower
// quantiles where they scatter more, as with correlated noise. The bias is under 0.1 % for
// chi-squared samples and 0.6 % of sigma with two fifths of them 1.2 to 20 times too large, as
// simulated in the test. The method is this project's own; its parts are standard.
func TrimmedVariance(sorted []float64, freedom float64) Trimmed {
	if len(sorted) == 0 {
		return Trimmed{0, math.NaN(), math.NaN()}
	}
	spread := max(math.Sqrt(2/freedom), lowerSpread(sorted))
	centre := Quantile(sorted, startQuantile) / ChiQuantile(startQuantile, 2/(spread*spread))
	n := 0
	for range mostTurns {
		limit := centre * (1 + acceptSpreads*spread)
		m := sort.Search(len(sorted), func(i int) bool { return sorted[i] > limit })
		if m == n {
			break
		}
		n = m
		centre = stat.Mean(sorted[:n], nil) / CutMean(spread, acceptSpreads)
	}
	if n == 0 {
		return Trimmed{0, math.NaN(), math.NaN()}
	}
	// Samples differ more than chi-squared says when noise is correlated or texture is in play.
	own := spread
	if n > 8 {
		own = max(math.Sqrt(2/freedom), stat.StdDev(sorted[:n], nil)/centre)
	}
	return Trimmed{n, centre, own / math.Sqrt(float64(n))}
}

// lowerSpread estimates the standard deviation of the variances relative to their centre from the
// 5 % and 25 % quantiles, the side that movement does not reach, as that of a normal
// distribution; 0 where they are too few, one half at most.
func lowerSpread(sorted []float64) float64 {
	if len(sorted) < 40 {
		return 0
	}
	low, high := Quantile(sorted, 0.05), Quantile(sorted, 0.25)
	if !(high > 0) {
		return 0
	}
	z := distuv.UnitNormal.Quantile(0.25) - distuv.UnitNormal.Quantile(0.05)
	return min((high-low)/high/z, 0.5)
}
