package detect

import (
	"math"
	"testing"
)

// TestNeutralDensities compares the neutrals with the densities printed for them: .05 .23 .44 .70
// 1.05 1.50 (McCamy 1976, as in the datasets named in chart_values.go).
func TestNeutralDensities(t *testing.T) {
	// 0.04 of density: printed to 0.01, and white was measured 0.01 to 0.03 off by every edition.
	const tolerance = 0.04
	for i, density := range []float64{0.05, 0.23, 0.44, 0.70, 1.05, 1.50} {
		for _, e := range []Edition{Edition2005, Edition1976, EditionNov2014} {
			if d := -math.Log10(e.Luminance(firstNeutral + i)); math.Abs(d-density) > tolerance {
				t.Errorf("%s, edition %s: density %.3f, printed %.2f", patchNames[firstNeutral+i], e, d, density)
			}
		}
	}
}

// TestLabLuminance: Y of the edition published as L*a*b*, worked by an independent colour
// library from L* (CIE 15).
func TestLabLuminance(t *testing.T) {
	const tolerance = 0.00006 // given to four places
	want := [24]float64{0.0983, 0.3362, 0.1786, 0.1347, 0.2287, 0.4144, 0.3126, 0.1091, 0.1890, 0.0628, 0.4332, 0.4293,
		0.0560, 0.2233, 0.1278, 0.5993, 0.1895, 0.1806, 0.8807, 0.5900, 0.3649, 0.1906, 0.0882, 0.0315}
	for i, y := range want {
		if got := EditionNov2014.Luminance(i); math.Abs(got-y) > tolerance {
			t.Errorf("%s: Y %.5f, want %.4f", patchNames[i], got, y)
		}
	}
}

// TestEditionsAgree: the same chart printed again differs by little in every patch, so a slip in
// one table shows.
func TestEditionsAgree(t *testing.T) {
	const luminance, neutral = 0.16, 0.06 // stops: colours were measured under other lights
	for i := range 24 {
		limit := luminance
		if i >= firstNeutral {
			limit = neutral
		}
		for _, e := range []Edition{Edition1976, EditionNov2014} {
			if d := math.Log2(e.Luminance(i) / Edition2005.Luminance(i)); math.Abs(d) > limit {
				t.Errorf("%s: edition %s lies %+.3f stops from 2005", patchNames[i], e, d)
			}
		}
	}
}

// TestReferenceColours: neutrals are neutral once the illuminant is taken off, and each primary
// patch is strongest in its primary.
func TestReferenceColours(t *testing.T) {
	for _, e := range []Edition{Edition2005, Edition1976, EditionNov2014} {
		for i := firstNeutral; i < 24; i++ {
			c := e.Reference(i)
			if spread := math.Log2(max(c[0], c[1], c[2]) / min(c[0], c[1], c[2])); spread > 0.15 {
				t.Errorf("edition %s, %s: %.3f is not neutral", e, patchNames[i], c)
			}
		}
		for patch, strongest := range map[int]int{12: 2, 13: 1, 14: 0} {
			c := e.Reference(patch)
			for k := range c {
				if k != strongest && c[k] >= c[strongest] {
					t.Errorf("edition %s, %s: %.3f", e, patchNames[patch], c)
				}
			}
		}
	}
}
