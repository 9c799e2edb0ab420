package analyze

import (
	"fmt"
	"math"
	"sort"

	"stopledger/curve"
)

// Signs that coding removed noise. White noise at half a code repeats a whole cell with a chance
// under 1e-21, so any real share of repeated cells condemns; lag growth, spread and kurtosis
// betray blocks that are carried over between frames. Limits sit between what lossless and
// intra-coded noise showed and what long-GOP coding did to it (worked in testdata/noise.md).
const (
	mostRepeated = 0.005
	mostGrowth   = 1.10
	mostSpread   = 1.6
	mostKurtosis = 3.8
)

// measureCodec gathers the signs over all groups.
func measureCodec(groups []*groupSums, g grid, r curve.Reading, perCell float64) Codec {
	c := Codec{Growth: math.NaN(), Spread: math.NaN(), Kurtosis: math.NaN()}
	c.Repeated = repeatedShare(groups, g, r, perCell)
	var growth, kurtosis []float64
	var pairs []pairLevel
	for _, s := range groups {
		if s.lag.frames > 1 {
			growth = append(growth, s.lag.growth)
		}
		if s.detail != nil && !math.IsNaN(s.detail.kurtosis) {
			kurtosis = append(kurtosis, s.detail.kurtosis)
		}
		pairs = append(pairs, s.into...)
	}
	c.Growth, c.Kurtosis = median(growth), median(kurtosis)
	c.ByPicture = byPicture(pairs)
	low, high := math.Inf(1), 0.0
	for _, p := range pairs {
		low, high = min(low, p.variance), max(high, p.variance)
	}
	if len(pairs) > 1 && low > 0 {
		c.Spread = high / low
	} else if high > 0 && low == 0 {
		c.Spread = math.MaxFloat32
	}
	return c
}

// repeatedShare leaves out clipped cells, and bars: constant cells below the curve's black.
func repeatedShare(groups []*groupSums, g grid, r curve.Reading, perCell float64) float64 {
	black := r.CodeOf(0) - 4*math.Exp2(float64(r.Bits)-10)
	var repeated, looked float64
	for _, s := range groups {
		for i := range s.cells {
			c := &s.cells[i]
			clipped := float64(c.any) > perCell*float64(s.frames)*cleanShare
			if clipped || !g.whole(i%g.cols, i/g.cols) || float64(c.sum)/float64(s.frames)/cellArea < black {
				continue
			}
			repeated += float64(c.repeats)
			looked += float64(s.pairs)
		}
	}
	if looked == 0 {
		return 0
	}
	return repeated / looked
}

func byPicture(pairs []pairLevel) map[byte]float64 {
	sum, n := map[byte]float64{}, map[byte]float64{}
	for _, p := range pairs {
		sum[byte(p.picture)] += p.variance
		n[byte(p.picture)]++
	}
	for k := range sum {
		sum[k] /= n[k]
	}
	return sum
}

// suppression says why the recorded noise understates the camera's, "" when nothing shows it.
func (c Codec) suppression(longGOP bool) string {
	switch {
	case c.Repeated > mostRepeated:
		return fmt.Sprintf("%.1f %% of the picture repeats the frame before exactly", 100*c.Repeated)
	case c.Growth > mostGrowth:
		return fmt.Sprintf("noise grows %.0f %% between neighbouring and more distant frames: parts of the picture are carried over", 100*(c.Growth-1))
	case longGOP && c.Spread > mostSpread:
		return fmt.Sprintf("noise changes by a factor of %.1f from frame to frame with the kind of coded picture", math.Min(c.Spread, 100))
	case longGOP && c.Kurtosis > mostKurtosis:
		return "some parts of the picture are renewed while others are carried over"
	}
	return ""
}

// median returns the middle value, NaN for none.
func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := append([]float64(nil), v...)
	sort.Float64s(s)
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}
