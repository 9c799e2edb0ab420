package curve

import (
	"math"
	"testing"
)

// everyCurve returns the published curves with LogC3 at each of its exposure indexes.
func everyCurve(t testing.TB) []*Curve {
	var all []*Curve
	for _, c := range All() {
		all = append(all, c)
		for _, ei := range c.Indexes() {
			at, err := c.WithIndex(ei)
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, at)
		}
	}
	return all
}

func TestEveryRowIsComplete(t *testing.T) {
	for _, c := range everyCurve(t) {
		if c.Name == "" || c.Source.Title == "" || c.shape == nil {
			t.Errorf("%q: name, source or shape is missing", c.Name)
		}
		if c.Recorded && c.Source.Where == "" {
			t.Errorf("%s: a recorded curve needs the edition of its source", c.Name)
		}
		top, grey := c.Decode(c.Top), c.Encode(MidGrey)
		if !(top > MidGrey) || !Finite(top) {
			t.Errorf("%s: the top, n = %g, reads %g", c.Name, c.Top, top)
		}
		if !(grey > 0.15 && grey < 0.5) {
			t.Errorf("%s: 18 %% grey at n = %g is no grey", c.Name, grey)
		}
	}
}

// The top light of each curve, curves whose paper or generator states it.
func TestTops(t *testing.T) {
	for _, tc := range []struct {
		name, why string
		light     float64
		tolerance float64
	}{
		{"Log3G10", "white paper as quoted: ten stops over 18 %; six-digit constants", 0.18 * 1024, 0.005},
		{"DaVinci Intermediate", "Wide Gamut Intermediate, November 2020: 100 at 1.0", 100, 1e-4},
		{"PQ", "ST 2084: 10000 cd/m2, in units of 26 cd/m2 for grey", 10000.0 / 26 * 0.18, 1e-9},
		{"BT.709", "BT.709-6: 1.0 at V = 1", 1, 1e-12},
		{"ACEScc", "S-2014-003: largest half-float", 65504, 1e-6},
	} {
		c, err := Find(tc.name)
		if err != nil {
			t.Fatal(err)
		}
		if got := float64(c.Decode(c.Top)); math.Abs(got-tc.light) > tc.tolerance {
			t.Errorf("%s: top reads %.9g, want %.9g (%s)", tc.name, got, tc.light, tc.why)
		}
	}
}
