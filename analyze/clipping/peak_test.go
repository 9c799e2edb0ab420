package clipping

import (
	"math"
	"testing"

	"stopledger/analyze/internal/testframes"

	"stopledger/curve"
)

// handMade makes a channel: ordinary samples in each bin up to code 900, with noise but for the
// last two codes, a peak on that code, and samples above it.
func handMade(t testing.TB, ordinary, piled, above, noise float64) (s spectrum, samples float64) {
	t.Helper()
	s = spectrum{histogram: newHistogram(), reading: testframes.Reading(t, 10), reach: plainReach}
	const at = 900 * perCode
	for i := 400 * perCode; i <= at; i++ {
		s.count[i], s.pairs[i] = ordinary, ordinary
		if i < at-2*plainReach*perCode {
			s.change[i] = 2 * noise * ordinary
		}
	}
	s.count[at] += piled
	s.pairs[at] += piled
	s.count[at+6*perCode] += above
	for _, n := range s.count {
		samples += n
	}
	return s, samples
}

// TestPeakLimits puts what makes a histogram peak just below and just above its limits.
func TestPeakLimits(t *testing.T) {
	const bins = 2*plainReach*perCode + 1
	for _, tc := range []struct {
		name                          string
		ordinary, piled, above, noise float64
		found, seen                   bool
	}{
		{"clear", 100, 1e5, 0, 4, true, true},
		// Nine bins of ordinary samples lie under the peak.
		{"under 2.5 times the density", 100, bins*100*2.45 - 900, 0, 4, false, false},
		{"over 2.5 times", 100, bins*100*2.55 - 900, 0, 4, true, true},
		{"under 3 times, noise unseen", 100, bins*100*2.95 - 900, 0, 0.02, false, false},
		{"over 3 times, noise unseen", 100, bins*100*3.05 - 900, 0, 0.02, true, false},
		{"few samples", 0.2, 11, 0, 4, false, false},
		{"a fifth above", 100, 1e5, 0.19e5, 4, true, true},
		{"more than a fifth above", 100, 1e5, 0.22e5, 4, false, false},
		{"none", 100, 0, 0, 4, false, false},
	} {
		s, samples := handMade(t, tc.ordinary, tc.piled, tc.above, tc.noise)
		p, ok := s.peak(samples)
		if ok != tc.found || p.seen != tc.seen {
			t.Errorf("%s: %+v, found %v", tc.name, p, ok)
		}
		if ok && (math.Abs(float64(p.code)-900) > 0.3 || p.from > 900 || p.from < 897) {
			t.Errorf("%s: at code %.2f from %.2f, want 900", tc.name, p.code, p.from)
		}
	}
}

// TestPeakWithNoiseIsNone: noise that does not collapse is light, however much of it there is. A
// quarter of what the code just below has may be left.
func TestPeakWithNoiseIsNone(t *testing.T) {
	for left, want := range map[float64]bool{0: true, 0.2: true, 0.3: false, 1: false} {
		s, samples := handMade(t, 100, 1e5, 0, 4)
		for i := 899 * perCode; i <= 901*perCode; i++ {
			s.change[i] = 2 * 4 * left * s.pairs[i]
		}
		if _, ok := s.peak(samples); ok != want {
			t.Errorf("with %.1f of the noise left: found %v", left, ok)
		}
	}
}

// TestFollows: next to a ceiling that another channel proves a very sharp peak is one too, within 1.25 stops above or
// below; without such, or less sharp, it is not.
func TestFollows(t *testing.T) {
	x := ended(t, 700, 1, 1)
	r := x.reading
	at := func(stops curve.Stops) curve.FileCode { return r.CodeOf(stops.Light()) }
	sharp := codedSharper * sharpEnough(false)
	proven, none := newCeilings(r), newCeilings(r)
	proven.set(2, peak{code: r.Code(at(4)), from: r.Code(at(4))}, r)
	for _, test := range []struct {
		name   string
		proven *Ceilings
		stops  curve.Stops
		sharp  float64
		want   bool
	}{
		{"under", &proven, 2.8, sharp, true}, {"over", &proven, 5.2, sharp, true},
		{"far under", &proven, 2.7, sharp, false}, {"far over", &proven, 5.3, sharp, false},
		{"less sharp", &proven, 3, 0.99 * sharp, false}, {"nothing proven", &none, 4, sharp, false},
	} {
		if got := x.follows(test.proven, peak{code: r.Code(at(test.stops)), sharp: test.sharp}); got != test.want {
			t.Errorf("%s: %v", test.name, got)
		}
	}
}
