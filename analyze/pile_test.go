package analyze

import (
	"math"
	"testing"

	"stopledger/decode"
)

// handMade makes a channel: ordinary samples in each bin up to code 900, with noise but for the
// last two codes, a pile-up on that code, and samples above it.
func handMade(t testing.TB, ordinary, pile, above, noise float64) (top top10, samples float64) {
	t.Helper()
	top = newTop10(readingOf(t, 10))
	const at = 900 * perCode
	for i := 400 * perCode; i <= at; i++ {
		top.count[i], top.pairs[i] = ordinary, ordinary
		if i < at-2*pileHalf*perCode {
			top.change[i] = 2 * noise * ordinary
		}
	}
	top.count[at] += pile
	top.pairs[at] += pile
	top.count[at+6*perCode] += above
	for _, n := range top.count {
		samples += n
	}
	return top, samples
}

// TestPileLimits puts what makes a pile-up just below and just above its limits.
func TestPileLimits(t *testing.T) {
	const bins = 2*pileHalf*perCode + 1
	for _, tc := range []struct {
		name                         string
		ordinary, pile, above, noise float64
		found, seen                  bool
	}{
		{"clear", 100, 1e5, 0, 4, true, true},
		// Nine bins of ordinary samples lie under the pile.
		{"under 2.5 times the density", 100, bins*100*2.45 - 900, 0, 4, false, false},
		{"over 2.5 times", 100, bins*100*2.55 - 900, 0, 4, true, true},
		{"under 3 times, noise unseen", 100, bins*100*2.95 - 900, 0, 0.02, false, false},
		{"over 3 times, noise unseen", 100, bins*100*3.05 - 900, 0, 0.02, true, false},
		{"few samples", 0.2, 11, 0, 4, false, false},
		{"a fifth above", 100, 1e5, 0.19e5, 4, true, true},
		{"more than a fifth above", 100, 1e5, 0.22e5, 4, false, false},
		{"none", 100, 0, 0, 4, false, false},
	} {
		top, samples := handMade(t, tc.ordinary, tc.pile, tc.above, tc.noise)
		p, ok := findPile(top, samples, 0)
		if ok != tc.found || p.seen != tc.seen {
			t.Errorf("%s: %+v, found %v", tc.name, p, ok)
		}
		if ok && (math.Abs(p.code-900) > 0.3 || p.from > 900 || p.from < 897) {
			t.Errorf("%s: at code %.2f from %.2f, want 900", tc.name, p.code, p.from)
		}
	}
}

// TestPileWithNoiseIsNone: noise that does not collapse is light, however much of it there is. A
// quarter of what the code just below has may be left.
func TestPileWithNoiseIsNone(t *testing.T) {
	for left, want := range map[float64]bool{0: true, 0.2: true, 0.3: false, 1: false} {
		top, samples := handMade(t, 100, 1e5, 0, 4)
		for i := 899 * perCode; i <= 901*perCode; i++ {
			top.change[i] = 2 * 4 * left * top.pairs[i]
		}
		if _, ok := findPile(top, samples, 0); ok != want {
			t.Errorf("with %.1f of the noise left: found %v", left, ok)
		}
	}
}

// TestClippedCellsHaveNoNoise: one sample of a cell at the ceiling and the cell is not used.
func TestClippedCellsHaveNoNoise(t *testing.T) {
	for level, want := range map[uint16]int{899: 4, 901: 3} {
		film := makeFrames(kinds[2], 32, 32, 10, 2, func(frame, plane, x, y int) uint16 {
			switch {
			case plane > 0:
				return 512
			case x == 5 && y == 5:
				return level
			}
			return uint16(890 + (x*7+y*3+frame*11)%5)
		})
		set := Settings{Reading: readingOf(t, 10), Matrix: camera(t, "S-Log3").Matrix, Threads: 1}
		w, _ := walkFrames(kinds[2], film, newThresholds([3]float64{900, 900, 900}, set.Reading.Chroma(set.Matrix)), set)
		if got := len(gathered(w)); got != want {
			t.Errorf("a sample at code %d under a ceiling of 900: %d cells used, want %d", level, got, want)
		}
	}
}

// TestRepeatedShare: repeats count where other cells of the tone show noise that codes can hold,
// up to a stop over grey, or where most of the picture has nothing else.
func TestRepeatedShare(t *testing.T) {
	noisy, faint := 100*1.0, 100*0.2
	for _, tc := range []struct {
		name  string
		table toneTable
		want  float64
	}{
		{"nothing", toneTable{}, 0},
		{"noise", toneTable{-4: {cells: 100, variance: noisy}}, 0},
		{"a tenth", toneTable{-4: {cells: 90, variance: 90, repeated: 10}}, 0.1},
		{"too bright to tell", toneTable{2: {cells: 90, variance: 90, repeated: 10}, -4: {cells: 100, variance: noisy}}, 0},
		{"just dark enough", toneTable{1: {cells: 90, variance: 90, repeated: 10}}, 0.1},
		{"too faint to tell", toneTable{-4: {cells: 100, variance: faint, repeated: 50}}, 0},
		{"a bar", toneTable{-20: {repeated: 20}, -4: {cells: 100, variance: noisy}}, 0},
		{"nearly all", toneTable{-20: {repeated: 150}, -4: {cells: 100, variance: noisy}}, 0.6},
	} {
		if got := tc.table.repeatedShare(); math.Abs(got-tc.want) > 1e-12 {
			t.Errorf("%s: %.3f repeated, want %.3f", tc.name, got, tc.want)
		}
	}
}

// TestCodingLoss: lossy coding may take 0.4 of the variance at one 10-bit code, in a file of 12
// bits at four codes; lossless nothing.
func TestCodingLoss(t *testing.T) {
	for _, tc := range []struct {
		codec string
		bits  int
		want  float64
	}{{"ffv1", 10, 0}, {"prores", 10, 0.4}, {"prores", 12, 1.6}, {"hevc", 8, 0.1}} {
		m := measurement{info: decode.Info{Codec: tc.codec}, set: Settings{Reading: readingOf(t, tc.bits)}}
		if got := m.codingLoss(); math.Abs(got-tc.want) > 1e-12 {
			t.Errorf("%s, %d bits: %v, want %v", tc.codec, tc.bits, got, tc.want)
		}
	}
	// Tones of little noise in codes that lost a third of it bend the model less.
	want := Model{Read: 3e-4, Shot: 2e-5}
	tones := tonesOn(want, 0.01, stopsOfTones...)
	for i := range tones {
		tones[i].SigmaCode = 4
		if i >= 6 {
			tones[i].SigmaCode = 1
			tones[i].SigmaLinear *= math.Sqrt(0.7)
		}
	}
	lossless, _ := fitModel(tones, 10, 0)
	lossyFit, _ := fitModel(tones, 10, 0.4)
	if lossyFit == nil || math.Abs(lossyFit.Shot/want.Shot-1) > 0.2 || lossless != nil && math.Abs(lossless.Shot-want.Shot) < math.Abs(lossyFit.Shot-want.Shot) {
		t.Errorf("shot noise %+v, without allowance %+v, want %v", lossyFit, lossless, want.Shot)
	}
}
