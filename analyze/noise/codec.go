package noise

import (
	"math"

	"stopledger/analyze/robust"
	"stopledger/curve"
)

// codecOf gathers the signs of coding over all groups.
func codecOf(groups []*group, table toneTable, e evidence, r curve.Reading) Codec {
	c := Codec{RepeatedShare: table.repeatedShare(), Spread: curve.Ratio(math.NaN())}
	var kurtosis []float64
	var pairs []pairLevel
	for _, g := range groups {
		if g.detail != nil && !math.IsNaN(g.detail.kurtosis) {
			kurtosis = append(kurtosis, g.detail.kurtosis)
		}
		pairs = append(pairs, g.into...)
	}
	c.LagGrowth, c.Kurtosis = curve.Ratio(e.growth.flat), curve.Ratio(robust.Median(kurtosis))
	c.ByPicture = byPicture(pairs, r)
	low, high := math.Inf(1), 0.0
	for _, p := range pairs {
		low, high = min(low, p.variance), max(high, p.variance)
	}
	if len(pairs) > 1 && low > 0 {
		c.Spread = curve.Ratio(high / low)
	} else if high > 0 && low == 0 {
		c.Spread = math.MaxFloat32
	}
	return c
}

func byPicture(pairs []pairLevel, r curve.Reading) map[string]curve.CodeVariance {
	sum, n := map[string]float64{}, map[string]float64{}
	for _, p := range pairs {
		kind := string(rune(p.picture))
		sum[kind] += p.variance
		n[kind]++
	}
	mean := map[string]curve.CodeVariance{}
	for kind := range sum {
		mean[kind] = r.Variance(sum[kind] / n[kind])
	}
	return mean
}
