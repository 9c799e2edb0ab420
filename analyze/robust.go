package analyze

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// The robust rule. Cells that hold still have variances spread as chi-squared around the true
// one; cells in which something moves lie above. The rule starts from a low quantile, which
// movement reaches last, corrected for its own bias, and then takes the mean of all cells within
// acceptSpreads of the centre until nothing changes. A mean of the accepted cells is as
// efficient as the data allow, where a median would lose a quarter.
const (
	startQuantile = 0.15
	acceptSpreads = 3.0
)

// quietCells returns the cells that hold still, the mean of their variances, corrected for what
// the cut takes off, and the relative standard error of that mean. freedom is one cell's degrees
// of freedom.
func quietCells(cells []cellNoise, freedom float64) (kept []cellNoise, variance, relative float64) {
	if len(cells) == 0 {
		return nil, math.NaN(), math.NaN()
	}
	sorted := append([]cellNoise(nil), cells...)
	// A whole order: cells come in any from several workers, and sums are to be the same bits.
	slices.SortFunc(sorted, cellNoise.compare)
	spread := max(math.Sqrt(2/freedom), lowerSpread(sorted))
	centre := quantile(sorted, startQuantile) / chiQuantile(startQuantile, 2/(spread*spread))
	n := 0
	for range 50 {
		limit := centre * (1 + acceptSpreads*spread)
		m := sort.Search(len(sorted), func(i int) bool { return sorted[i].variance > limit })
		if m == n {
			break
		}
		n = m
		centre = meanVariance(sorted[:n]) / cutMean(spread)
	}
	if n == 0 {
		return nil, math.NaN(), math.NaN()
	}
	// Cells differ more than chi-squared says when noise is correlated or texture is in play.
	own := spread
	if n > 8 {
		own = max(math.Sqrt(2/freedom), deviation(sorted[:n])/centre)
	}
	return sorted[:n], centre, own / math.Sqrt(float64(n))
}

// compare orders cells by variance, then code.
func (c cellNoise) compare(o cellNoise) int {
	switch {
	case c.variance < o.variance:
		return -1
	case c.variance > o.variance:
		return 1
	}
	return cmp.Compare(c.code, o.code)
}

func quantile(sorted []cellNoise, p float64) float64 {
	at := p * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1].variance
	}
	return sorted[i].variance + (at-float64(i))*(sorted[i+1].variance-sorted[i].variance)
}

// lowerSpread estimates the relative spread of quiet cells from the 5 % and 25 % quantiles, the
// side that movement does not reach.
func lowerSpread(sorted []cellNoise) float64 {
	if len(sorted) < 40 {
		return 0
	}
	low, high := quantile(sorted, 0.05), quantile(sorted, 0.25)
	if !(high > 0) {
		return 0
	}
	z := distuv.UnitNormal.Quantile(0.25) - distuv.UnitNormal.Quantile(0.05)
	return min((high-low)/high/z, 0.5)
}

// chiQuantile returns the p quantile of chi-squared / freedom.
func chiQuantile(p, freedom float64) float64 {
	return distuv.ChiSquared{K: max(freedom, 1)}.Quantile(p) / max(freedom, 1)
}

// cutMean returns the mean of a unit normal of the given relative spread that is cut off
// acceptSpreads above its mean, relative to its full mean.
func cutMean(spread float64) float64 {
	phi := distuv.UnitNormal.Prob(acceptSpreads)
	return 1 - spread*phi/distuv.UnitNormal.CDF(acceptSpreads)
}

func meanVariance(cells []cellNoise) float64 { return stat.Mean(variances(cells), nil) }

func deviation(cells []cellNoise) float64 { return stat.StdDev(variances(cells), nil) }

func variances(cells []cellNoise) []float64 {
	v := make([]float64, len(cells))
	for i, c := range cells {
		v[i] = c.variance
	}
	return v
}
