package analyze

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"sort"
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
func measureCodec(groups []*groupSums, table toneTable) Codec {
	c := Codec{Growth: math.NaN(), Spread: math.NaN(), Kurtosis: math.NaN(), Repeated: table.repeatedShare()}
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

// repeatedShare returns the share of cells that repeat the frame before, in tones up to a stop
// over grey whose other cells show noise that whole codes can hold. Brighter noise may be too
// small to show, and a tone of which nothing else is left may be a bar or a caption.
func (t toneTable) repeatedShare() float64 {
	const brightest = 2 // tone number: a stop over grey
	var repeated, all, hidden, seen float64
	for tone, m := range t {
		switch {
		case tone >= brightest:
		case m.cells == 0:
			hidden += m.repeated
		case m.variance/m.cells-quantised >= LeastSigma*LeastSigma:
			repeated += m.repeated
			all += m.repeated + m.cells
		}
		seen += m.repeated + m.cells
	}
	// Where most of the picture has nothing but repeats, that is no caption.
	if hidden > 0.5*seen {
		return hidden / seen
	}
	if all == 0 {
		return 0
	}
	return repeated / all
}

// used returns how many cells the estimates rest on.
func (t toneTable) used() float64 {
	var n float64
	for _, m := range t {
		n += m.cells
	}
	return n
}

// sortedKeys returns a table's tones, darkest first.
func sortedKeys(t toneTable) []int { return slices.Sorted(maps.Keys(t)) }

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
