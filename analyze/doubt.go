package analyze

import (
	"fmt"
	"math"

	"stopledger/curve"
)

const (
	// outsideShare is the share of the picture outside narrow range from which a narrow tag is
	// doubted; EBU R 103 lets 1 % lie outside. Codes up to 1019 belong to it: cameras record
	// whites there (109 %), and EBU R 103 is about delivery.
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
	if f := m.rangeDoubt(hist); f != nil {
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

// rangeDoubt compares the levels seen with the range they are read in. Levels are means of cells,
// so that noise around black is no level below it.
func (m *measurement) rangeDoubt(hist []uint64) *Finding {
	r := m.set.Reading
	step := math.Exp2(float64(r.Bits) - 10)
	black := r.CodeOf(0)
	var below, dark, area float64
	for _, s := range m.groups {
		for i := range s.cells {
			pixels := float64(m.grid.pixels(i%m.grid.cols, i/m.grid.cols)) * float64(s.frames)
			code := float64(s.cells[i].sum) / pixels
			area += pixels
			if code < 40*step {
				below += pixels
			}
			// Bars that a camera or an edit adds hold still to the last code.
			if code < black-12*step && s.cells[i].diffSq > 0 {
				dark += pixels
			}
		}
	}
	outside := below/area + shareAbove(hist, lastCode(curve.Reading{Curve: r.Curve, Bits: r.Bits}))
	switch {
	case r.Range == curve.Narrow && outside > outsideShare:
		return &Finding{"range-doubt", Caution, fmt.Sprintf("%.0f %% of the picture lies outside the codes of narrow range: the file may be full range (--range full).", 100*outside)}
	case dark/area > outsideShare && black > 72*step:
		return &Finding{"range-doubt", Caution, fmt.Sprintf("%.0f %% of the picture lies below the curve's black (code %.0f): curve or range may be another.", 100*dark/area, black/step)}
	}
	return nil
}

// shareAbove returns the share of samples above a code.
func shareAbove(hist []uint64, limit float64) float64 {
	var above, all float64
	for code, n := range hist {
		all += float64(n)
		if float64(code) > limit {
			above += float64(n)
		}
	}
	return above / all
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

// combed tells whether the codes used stand at even distances, as padded or multiplied samples of
// fewer bits do, rather than in a few flat patches.
func combed(hist []uint64, low, high int) bool {
	var gaps []float64
	last := low
	for code := low + 1; code <= high; code++ {
		if hist[code] > 0 {
			gaps = append(gaps, float64(code-last))
			last = code
		}
	}
	if len(gaps) < leastSpan/4 {
		return false
	}
	usual, even := median(gaps), 0
	for _, gap := range gaps {
		// Multiplied by 1023/255, every 85th step is longer by one.
		if math.Abs(gap-usual) <= 1 {
			even++
		}
	}
	return usual > 2 && even >= len(gaps)*3/4
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
