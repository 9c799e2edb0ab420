package clipping

import (
	"testing"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
)

// ended makes a channel with 100 samples a bin up to a code, so many times as many in the last three
// codes, and a variance there as a share of 1 code^2 below.
func ended(t *testing.T, at int, density, left float64) *tops {
	t.Helper()
	x := &tops{channels{reading: testframes.Reading(t, 10)}}
	for i := range x.histograms {
		x.histograms[i] = newHistogram()
	}
	h := x.histograms[0]
	for i := 300 * perCode; i <= at*perCode; i++ {
		n, variance := 100.0, 1.0
		if i > (at-endWidth)*perCode {
			n, variance = 100*density, left
		}
		h.count[i], h.pairs[i], h.change[i] = n, n, 2*variance*n
		x.samples += n
	}
	return x
}

// TestDoubtful puts an end of light on either side of its limits: abrupt, with less noise, no flat
// field, and where cameras clip.
func TestDoubtful(t *testing.T) {
	for name, tc := range map[string]struct {
		at            int
		density, left float64
		want          bool
	}{
		"abrupt, less noise": {800, 1.4, 0.8, true}, "no less noise": {800, 1.4, 0.9, false},
		"tails off": {800, 1.2, 0.5, false}, "a flat field": {800, 9, 0.5, false},
		"2 stops over grey": {575, 1.4, 0.5, false}, "3 stops over grey": {660, 1.4, 0.5, true},
	} {
		if got := ended(t, tc.at, tc.density, tc.left).doubtful(0, false); got != tc.want {
			t.Errorf("%s: doubtful %v", name, got)
		}
	}
	if ended(t, 800, 1.4, 0.5).doubtful(1, false) {
		t.Error("a channel without samples is doubtful")
	}
}

// TestAloneClipped: a flat field at the end of one channel is doubted where both others lie far over it, also
// where another channel is seen to clip; not where one of them is as low, nor light that only ends.
func TestAloneClipped(t *testing.T) {
	for name, tc := range map[string]struct {
		density float64
		others  [2]float64 // means of the other channels over the field
		want    bool
	}{
		"both far over": {9, [2]float64{825, 830}, true}, "one as low": {9, [2]float64{825, 803}, false},
		"grey": {9, [2]float64{800, 800}, false}, "no field": {1.4, [2]float64{825, 830}, false},
	} {
		for _, another := range []bool{false, true} {
			x := ended(t, 800, tc.density, 0.95)
			x.surveys = []*cells.Survey{surveyed(cells.NewGrid(16*12, 16*8), func(channel, col, _ int) cells.Moments {
				m := cells.Moments{Mean: 600 + float64(col), Temporal: 1, Spatial: 2}
				if col >= 6 { // the field
					m.Mean = 800
					if channel > 0 {
						m.Mean = tc.others[channel-1]
					}
				}
				return m
			})}
			if got := x.doubtful(0, another); got != tc.want {
				t.Errorf("%s, another channel clips %v: doubtful %v", name, another, got)
			}
		}
	}
}

// TestPatch: a chart's white over two darker patches that keep more noise is a patch of its own; not where
// it has lost most of its noise, where light goes down from it, or where samples end higher.
func TestPatch(t *testing.T) {
	for name, tc := range map[string]struct {
		noise, step, end float64
		want             bool
	}{
		"white": {0.9, 6, 801, true}, "half clipped": {0.45, 6, 801, false}, "light below": {0.9, 2.5, 801, false},
		"ends higher": {0.9, 6, 806, false},
	} {
		x := &tops{channels{reading: testframes.Reading(t, 10), coding: Coding{Lossy: true}}}
		x.surveys = []*cells.Survey{surveyed(cells.NewGrid(16*12, 16*8), func(_, col, row int) cells.Moments {
			patch := col / 4
			m := cells.Moments{Mean: 800 - tc.step*float64(patch) + 0.05*float64(row), Temporal: 1.2, Spatial: 2}
			if patch == 0 {
				m.Temporal = tc.noise
			}
			return m
		})}
		if got := x.patch(0, curve.Code(tc.end)); got != tc.want {
			t.Errorf("%s: a patch of its own %v", name, got)
		}
	}
}

// TestDwindles: the highest cells have six tenths of the noise of those below, or less.
func TestDwindles(t *testing.T) {
	for left, want := range map[float64]bool{1: false, 0.7: false, 0.5: true, 0: true} {
		x := wedge(t, 1, func(float64) float64 { return 1 })
		for i := range x.surveys[0].Channels[0] {
			m := &x.surveys[0].Channels[0][i]
			if m.Temporal = 1; m.Mean > 785 {
				m.Mean = 785 + (m.Mean-785)/14
				m.Temporal = left
			}
		}
		if got := x.dwindles(0); got != want {
			t.Errorf("%g of the noise is left: dwindles %v", left, got)
		}
	}
}

// TestBalanced: as many samples count as clip, although coding throws a tenth of them a code or more
// to either side, and light under the ceiling is dense: half a code of it is recorded as the ceiling.
func TestBalanced(t *testing.T) {
	const under, clipped = 50.0, 20000.0
	s := spectrum{histogram: newHistogram(), reading: testframes.Reading(t, 10), reach: plainReach}
	for i := 850 * perCode; i < 900*perCode; i++ {
		s.count[i] = under
	}
	for off, part := range map[int]float64{0: 0.6, 1: 0.1, -1: 0.1, 4: 0.05, -4: 0.05, 8: 0.05, -8: 0.05} {
		s.count[900*perCode+off] += part * clipped
	}
	for _, scatter := range []curve.Code{1.5, 2.5} {
		from := s.balanced(900, scatter)
		var counted float64
		for i, n := range s.count {
			if codeOf(float64(i)) >= from {
				counted += n
			}
		}
		// What a bin holds, and the light on which scattered samples lie.
		if want := clipped + under*perCode/2; counted < want-0.05*clipped || counted > want+0.05*clipped {
			t.Errorf("scatter %g: %.0f samples count, want %.0f", float64(scatter), counted, want)
		}
	}
}

// TestHeld: content is held up to the brightest of the channel that has least, of three whose samples end apart.
func TestHeld(t *testing.T) {
	x := ended(t, 700, 1, 1)
	for i, end := range []int{700, 600, 650} {
		x.histograms[i] = ended(t, end, 1, 1).histograms[0]
	}
	found := newCeilings(x.reading)
	most, least := x.brightest(&found)
	for code, want := range map[curve.FileCode]float64{most: 700, least: 600} {
		if got := float64(x.reading.Code(code)); got > want || got < want-1 { // 0.1 % of 300 codes and more
			t.Errorf("brightest at code %.2f, want %g", got, want)
		}
	}
}
