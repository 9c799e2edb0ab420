package analyze

import (
	"fmt"
	"math"

	"stopledger/curve"
)

const (
	// outsideShare is the share of samples outside narrow range from which a narrow tag is
	// doubted; EBU R 103 lets 1 % of a picture lie outside.
	outsideShare = 0.01
	// emptyCodes is the share of codes between the lowest and the highest seen that must be
	// missing for the recording to count as shallower than its file.
	emptyCodes = 0.7
	// leastSpan is how many codes of the file must lie between the lowest and the highest.
	leastSpan = 64
)

// doubts are findings about how the file was read: range and depth.
func (m *measurement) doubts() []Finding {
	hist := make([]uint64, len(m.table))
	for _, s := range m.groups {
		for code, n := range s.hist {
			hist[code] += n
		}
	}
	var out []Finding
	if f := rangeDoubt(hist, m.set.Reading); f != nil {
		out = append(out, *f)
	}
	if f := depthDoubt(hist, m.set.Reading); f != nil {
		out = append(out, *f)
	}
	if f := patchDoubt(m.groups, m.set, m.table); f != nil {
		out = append(out, *f)
	}
	switch {
	case m.lost == 0 && m.info.Truncated:
		out = append(out, Finding{"truncated", Caution, "The file ends before it says it does: it was cut off, and the rest of the clip is missing."})
	case m.lost > 0:
		out = append(out, Finding{"truncated", Caution, fmt.Sprintf("%d frames could not be decoded: the clip is damaged or cut off.", m.lost)})
	}
	if m.info.Interlaced {
		out = append(out, Finding{"interlaced", Note, "The clip is interlaced: the two fields are measured as one frame, and motion between them reads as texture."})
	}
	return out
}

// rangeDoubt compares the codes seen with the range they are read in.
func rangeDoubt(hist []uint64, r curve.Reading) *Finding {
	step := math.Exp2(float64(r.Bits) - 10)
	var below, dark, above, all float64
	black := r.CodeOf(0)
	for code, n := range hist {
		c, n := float64(code), float64(n)
		all += n
		if c < 40*step {
			below += n
		}
		if c > 1000*step {
			above += n
		}
		if c < black-12*step {
			dark += n
		}
	}
	switch {
	case all == 0:
		return nil
	case r.Range == curve.Narrow && (below+above)/all > outsideShare:
		return &Finding{"range-doubt", Caution, fmt.Sprintf("%.0f %% of the picture lies outside the codes of narrow range: the file may be full range (--range full).", 100*(below+above)/all)}
	case dark/all > outsideShare && black > 72*step:
		return &Finding{"range-doubt", Caution, fmt.Sprintf("%.0f %% of the picture lies below the curve's black (code %.0f): curve or range may be another.", 100*dark/all, black/step)}
	}
	return nil
}

// depthDoubt finds fewer levels than the file's depth: every second or fourth code only, as
// when 8-bit pictures are stored at 10 bits.
func depthDoubt(hist []uint64, r curve.Reading) *Finding {
	low, high, used := -1, 0, 0
	for code, n := range hist {
		if n > 0 {
			if low < 0 {
				low = code
			}
			high = code
			used++
		}
	}
	span := high - low + 1
	if low < 0 || span < leastSpan || r.Bits <= 8 {
		return nil
	}
	if missing := 1 - float64(used)/float64(span); missing < emptyCodes || !combed(hist, low, high) {
		return nil
	}
	return &Finding{"depth-doubt", Caution, fmt.Sprintf("Only %d of the %d codes between the darkest and the brightest occur: the picture has fewer bits than its file.", used, span)}
}

// combed tells whether most counts sit on codes of one residue modulo 4, as padded or multiplied
// 8-bit samples do, rather than on a few flat patches.
func combed(hist []uint64, low, high int) bool {
	var used [4]int
	var all int
	for code := low; code <= high; code++ {
		if hist[code] > 0 {
			used[code%4]++
			all++
		}
	}
	return all >= leastSpan/4 && 10*max(used[0], used[1], used[2], used[3]) >= 9*all
}

// patchDoubt compares two areas of known reflectance: their light must stand in that ratio.
func patchDoubt(groups []*groupSums, set Settings, table []float64) *Finding {
	if len(set.Patches) < 2 {
		return nil
	}
	var stops [2]float64
	for i := range stops {
		var light float64
		for _, s := range groups {
			light += s.patch[i].linear(table) / float64(len(groups))
		}
		if !(light > 0) {
			return nil
		}
		stops[i] = stopsOver(light, set.Patches[i].Reflectance)
	}
	gap := stops[1] - stops[0]
	if math.Abs(gap) < patchGap {
		return nil
	}
	return &Finding{"curve-doubt", Caution, fmt.Sprintf("The two regions should agree on the exposure and differ by %+.2f stops: the curve or range may be another, or the light uneven.", gap)}
}

// patchGap is the disagreement of two patches from which the curve is doubted: a card's tilt
// and sheen alone move it by 0.1 to 0.3 stop (common practice, no source).
const patchGap = 0.25
