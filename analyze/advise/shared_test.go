package advise

import (
	"math"
	"strings"
	"testing"

	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// cardAt is grey read from a card to 0.01 stops, which is known to 0.1.
func cardAt(stops curve.Stops, x, side int) *placement.Placement {
	p := greyAt(stops, curve.Stops(math.Hypot(0.01, 0.1)))
	p.Reading, p.Reference, p.Region = 0.01, 0.1, &geometry.Rect{X: x, Y: 100, W: side, H: side}
	return p
}

// TestSharedReference: how well a card is known cancels in the difference of takes of the same one,
// and only there: half intervals of 0.01 and 0.01 make 0.0141, of 0.1005 and 0.1005 make 0.1421.
func TestSharedReference(t *testing.T) {
	chart := func(stops curve.Stops, x int) *placement.Placement {
		p := cardAt(stops, x, 50)
		p.Method = placement.Chart
		return p
	}
	carried := cardAt(1.6, 100, 50)
	carried.Carried = "a.mov"
	white := cardAt(1.6, 100, 50)
	white.Reflectance = 0.9
	for _, tc := range []struct {
		name  string
		a, b  *placement.Placement
		share bool
	}{
		{"the same card", cardAt(0, 100, 50), cardAt(1.6, 100, 50), true},
		{"moved a little", cardAt(0, 100, 50), cardAt(1.6, 199, 50), true},
		{"moved far", cardAt(0, 100, 50), cardAt(1.6, 201, 50), false},
		{"a little larger", cardAt(0, 100, 50), cardAt(1.6, 100, 74), true},
		{"much larger", cardAt(0, 100, 50), cardAt(1.6, 100, 76), false},
		{"a chart anywhere", chart(0, 100), chart(1.6, 700), true},
		{"a card and a chart", cardAt(0, 100, 50), chart(1.6, 100), false},
		{"carried", cardAt(0, 100, 50), carried, false},
		{"another reflectance", cardAt(0, 100, 50), white, false},
		{"place unknown", greyAt(0, 0.1005), greyAt(1.6, 0.1005), false},
	} {
		c := Compare([]Measured{take("a.mov", tc.a, 0.001, 0), take("b.mov", tc.b, 0.001, 0)})
		f := c.Takes[1].find("placement", 0)
		want := map[bool]float64{true: 0.0141, false: 0.1421}[tc.share]
		if half := float64(f.Difference.High-f.Difference.Low) / 2; math.Abs(half-want) > 1e-3 {
			t.Errorf("%s: ±%.4f, want %.4f", tc.name, half, want)
		}
		if half := float64(f.Value.High-f.Value.Low) / 2; math.Abs(half-0.1005) > 1e-3 {
			t.Errorf("%s: the take's own grey is known to ±%.4f", tc.name, half)
		}
	}
}

// TestRecommendedByWhatIsShared: cards that are known to half a stop still tell the same card's takes
// apart, and no take that may be clipped is recommended.
func TestRecommendedByWhatIsShared(t *testing.T) {
	takes := []Measured{take("a.mov", cardAt(0, 100, 50), 0.0015, 0), take("b.mov", cardAt(0, 100, 50), 0.001, 0)}
	for _, m := range takes {
		m.Placement.Low, m.Placement.High, m.Placement.Reference = -0.5, 0.5, 0.5
	}
	if r := Compare(takes).Recommendation; r.Take == nil || *r.Take != 2 {
		t.Errorf("%s", r.Reason)
	}
	takes[1].Clipping.Undecided = true
	r := Compare(takes).Recommendation
	if r.Take != nil || r.Path != nil || !strings.Contains(r.Reason, "may be clipped") {
		t.Errorf("%+v", r)
	}
}
