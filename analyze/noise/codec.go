package noise

import (
	"fmt"
	"math"

	"stopledger/analyze/limit"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// codecOf gathers the signs of coding over all groups.
func codecOf(groups []*group, table toneTable, r curve.Reading) Codec {
	c := Codec{RepeatedShare: table.repeatedShare(), Spread: curve.Ratio(math.NaN())}
	var growth, kurtosis []float64
	var pairs []pairLevel
	for _, g := range groups {
		if !math.IsNaN(g.growth) {
			growth = append(growth, g.growth)
		}
		if g.detail != nil && !math.IsNaN(g.detail.kurtosis) {
			kurtosis = append(kurtosis, g.detail.kurtosis)
		}
		pairs = append(pairs, g.into...)
	}
	c.LagGrowth, c.Kurtosis = curve.Ratio(robust.Median(growth)), curve.Ratio(robust.Median(kurtosis))
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

// suppression says why the recorded noise understates the camera's, "" when nothing shows it.
func (c Codec) suppression(longGOP bool) string {
	switch {
	case c.RepeatedShare > limit.Repeated:
		return fmt.Sprintf("%.1f %% of the picture repeats the frame before exactly", 100*c.RepeatedShare)
	case c.LagGrowth > limit.Growth:
		return fmt.Sprintf("noise grows %.0f %% between neighbouring and more distant frames: "+
			"parts of the picture are carried over", 100*(c.LagGrowth-1))
	case longGOP && c.Spread > limit.Spread:
		return fmt.Sprintf("noise changes by a factor of %.1f from frame to frame with the kind of coded picture",
			min(c.Spread, 100))
	case longGOP && c.Kurtosis > limit.Kurtosis:
		return "some parts of the picture are renewed while others are carried over"
	}
	return ""
}
