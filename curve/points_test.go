package curve

import (
	"math"
	"strings"
	"testing"
)

// Straight pieces pass through their points, go on beyond them and hold where they are flat; the
// values follow from the definition of a straight line.
func TestPoints(t *testing.T) {
	s, err := Points([]float64{0, 0.2, 1}, []float64{0.1, 0.5, 0.9})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range [][2]float64{{0, 0.1}, {0.1, 0.3}, {0.2, 0.5}, {0.6, 0.7}, {1, 0.9}, {2, 1.4}, {-0.1, -0.1}} {
		if got := s.Encode(p[0]); math.Abs(got-p[1]) > 1e-15 {
			t.Errorf("light %g at n = %g, want %g", p[0], got, p[1])
		}
		if got := s.Decode(p[1]); math.Abs(got-p[0]) > 1e-15 {
			t.Errorf("n = %g reads %g, want %g", p[1], got, p[0])
		}
	}
	held, err := Points([]float64{0, 0, 0.2, 1, 2}, []float64{0, 0.1, 0.5, 0.9, 0.9})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range [][2]float64{{-1, 0.1}, {0, 0.1}, {0.1, 0.3}, {1, 0.9}, {5, 0.9}} {
		if got := held.Encode(p[0]); math.Abs(got-p[1]) > 1e-15 {
			t.Errorf("held: light %g at n = %g, want %g", p[0], got, p[1])
		}
	}
}

func TestPointsRefuse(t *testing.T) {
	nan := math.NaN()
	for _, tc := range []struct {
		xs, ns []float64
		says   string
	}{
		{[]float64{0, 1, 0.5, 2}, []float64{0, 0.3, 0.6, 1}, "entry 3 does not lie above entry 2"},
		{[]float64{0, 1, 2, 3}, []float64{0, 0.5, 0.5, 1}, "entry 3 does not lie above entry 2"},
		{[]float64{0, nan}, []float64{0, 1}, "entry 2 is not a number"},
		{[]float64{0, 1}, []float64{0, math.Inf(1)}, "entry 2 is not a number"},
		{[]float64{1, 1}, []float64{0, 0}, "do not rise"},
		{[]float64{1}, []float64{1}, "do not rise"},
		{nil, nil, "do not rise"},
		{[]float64{0, 1}, []float64{0}, "2 entries of light and 1 of n"},
	} {
		if _, err := Points(tc.xs, tc.ns); err == nil || !strings.Contains(err.Error(), tc.says) {
			t.Errorf("%v, %v: %v, want %q", tc.xs, tc.ns, err, tc.says)
		}
	}
}

// A curve of one's own, of the published pieces of V-Log, reads like V-Log (V-Log/V-Gamut
// REFERENCE MANUAL, Rev.1.0).
func TestNewOfPieces(t *testing.T) {
	c := New(Join(Line(5.6, 0.125), 0.01, Log(10, 0.241514, 1, 0.00873, 0.598206)), 1)
	c.Convention = DataCodes
	r := Reading{Curve: c, Range: Narrow, Bits: 10}
	for light, code := range map[Light]FileCode{0: 128, 0.18: 433, 0.9: 602} {
		if got := r.CodeOf(light); math.Abs(float64(got-code)) > printedCode {
			t.Errorf("light %g at code %.2f, printed %g", light, got, code)
		}
	}
	if c.Grade != Open || c.Name != "" || c.Recorded {
		t.Errorf("a new curve is %q, %s, recorded %t", c.Name, c.Grade, c.Recorded)
	}
}

func TestFold(t *testing.T) {
	for name, want := range map[string]string{
		"S-Log3": "slog3", "LogC3 EI800": "logc3ei800", " Canon Log 2": "canonlog2", "BT.709": "bt709",
		"ST_2084": "st2084", "": "",
	} {
		if got := Fold(name); got != want || Fold(got) != got {
			t.Errorf("Fold(%q) = %q, want %q", name, got, want)
		}
	}
}
