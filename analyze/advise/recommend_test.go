package advise

import (
	"math"
	"strings"
	"testing"

	"stopledger/analyze/placement"
	"stopledger/curve"
)

// judged is a take by its SNR at scene -4 stops (NaN for none), half its interval, and the share
// it loses to the ceiling.
func judged(path string, snr, half, lost float64) Take {
	tone := curve.Stops(-4)
	t := Take{Path: path, Figures: []Figure{{Name: "snr", SceneStops: &tone}, {Name: "clipped_any", Value: exactly(lost)}}}
	if !math.IsNaN(snr) {
		t.Figures[0].Value = about(curve.Amount(snr), curve.Amount(half))
	}
	return t
}

func TestRecommendation(t *testing.T) {
	for _, test := range []struct {
		name   string
		takes  []Take
		take   int // from 1; 0 for none
		reason string
	}{
		{"no take", nil, 0, "There are no two takes to compare."},
		{"one take", []Take{judged("a.mov", 20, 1, 0)}, 0, "There are no two takes to compare."},
		{"cleaner and clips no more", []Take{judged("d/a.mov", 20, 0.3, 0), judged("d/b.mov", 29, 0.4, 0)}, 2,
			"Use B (b.mov): it is 9 dB cleaner 4 stops under grey and loses nothing to the ceiling."},
		{"cleaner and clips hardly more", []Take{judged("a.mov", 20, 0.3, 0), judged("b.mov", 29, 0.4, 0.004)}, 2,
			"Use B (b.mov): it is 9 dB cleaner 4 stops under grey and loses 0.4 % of the frame to the ceiling, " +
				"hardly more than the other."},
		{"cleaner but clips", []Take{judged("a.mov", 20, 0.3, 0.001), judged("b.mov", 29, 0.4, 0.041)}, 0,
			"B (b.mov) is 9 dB cleaner 4 stops under grey but loses 4.1 % of the frame to the ceiling, where " +
				"A (a.mov) loses 0.1 %: use B (b.mov) for its shadows, or A (a.mov) if what clips matters."},
		{"cleaner and clips less", []Take{judged("a.mov", 30, 0.3, 0.001), judged("b.mov", 20, 0.4, 0.041)}, 1,
			"Use A (a.mov): it is 10 dB cleaner 4 stops under grey and loses 0.1 % of the frame to the ceiling, " +
				"no more than the other."},
		{"alike in both", []Take{judged("a.mov", 20, 0.3, 0), judged("b.mov", 20.4, 0.4, 0.001)}, 0,
			"No take is better: there is no measurable difference in the shadows, and they lose as much of the " +
				"frame to the ceiling."},
		{"told but not worth it", []Take{judged("a.mov", 20, 0.01, 0), judged("b.mov", 20.9, 0.01, 0)}, 0,
			"No take is better: there is no measurable difference in the shadows, and they lose as much of the " +
				"frame to the ceiling."},
		{"without an interval nothing is told", []Take{judged("a.mov", 20, 0.3, 0), judged("b.mov", 29, nan, 0)}, 0,
			"No take is better: there is no measurable difference in the shadows, and they lose as much of the " +
				"frame to the ceiling."},
		{"alike in the shadows", []Take{judged("a.mov", 20, 0.3, 0.2), judged("b.mov", 20.4, 0.4, 0.001)}, 2,
			"Use B (b.mov): it loses the least of the frame to the ceiling, 0.1 %; there is no measurable " +
				"difference in the shadows."},
		{"shadows of one not measured", []Take{judged("a.mov", 20, 0.3, 0.2), judged("b.mov", nan, 0, 0)}, 2,
			"Use B (b.mov): it loses the least of the frame to the ceiling, 0 %; the shadows could not be compared."},
		{"nothing measured", []Take{judged("a.mov", nan, 0, 0), judged("b.mov", nan, 0, 0)}, 0,
			"No take is better: the shadows could not be compared, and they lose as much of the frame to the ceiling."},
		{"three, the middle as clean as the last and keeps more",
			[]Take{judged("a.mov", 20, 0.3, 0), judged("b.mov", 29, 0.4, 0), judged("c.mov", 29.3, 0.4, 0.1)}, 2,
			"Use B (b.mov): it is 9 dB cleaner than A (a.mov) 4 stops under grey and loses nothing to the ceiling."},
		{"three, a trade",
			[]Take{judged("a.mov", 20, 0.3, 0), judged("b.mov", 25, 0.4, 0.02), judged("c.mov", 30, 0.4, 0.1)}, 0,
			"C (c.mov) is 10 dB cleaner than A (a.mov) 4 stops under grey but loses 10 % of the frame to the ceiling, where " +
				"A (a.mov) loses 0 %: use C (c.mov) for its shadows, or A (a.mov) if what clips matters."},
	} {
		got := recommend(test.takes, "")
		number := 0
		if got.Take != nil {
			number = *got.Take
		}
		if number != test.take || got.Reason != test.reason {
			t.Errorf("%s: take %d, want %d\n got %s\nwant %s", test.name, number, test.take, got.Reason, test.reason)
		}
		if (got.Path == nil) != (number == 0) || got.Path != nil && *got.Path != test.takes[number-1].Path {
			t.Errorf("%s: path %v of take %d", test.name, got.Path, number)
		}
	}
}

// TestRecommendationGoesByNoOrder: takes recommended in another order are the same takes.
func TestRecommendationGoesByNoOrder(t *testing.T) {
	a, b := judged("a.mov", 20, 0.3, 0), judged("b.mov", 29, 0.4, 0.001)
	if x, y := recommend([]Take{a, b}, ""), recommend([]Take{b, a}, ""); *x.Path != "b.mov" || *y.Path != "b.mov" {
		t.Errorf("%s, then %s", *x.Path, *y.Path)
	}
}

// TestGround: nothing is recommended where a take has no grey or only weak evidence of it, or where
// greys come from different evidence, however clearly shadows and clipping differ.
func TestGround(t *testing.T) {
	by := func(method placement.Method) *placement.Placement {
		p := greyAt(0, 0.05)
		p.Method = method
		return p
	}
	weak := by(placement.Scene)
	weak.Weak = true
	carried := by(placement.Card)
	carried.Carried = "a.mov"
	lost := &placement.Placement{Stops: curve.Unknown[curve.Stops](), Method: placement.Card}
	for _, test := range []struct {
		name  string
		greys []*placement.Placement
		why   string // "" where the takes can be weighed
	}{
		{"cards", []*placement.Placement{by(placement.Card), by(placement.Card)}, ""},
		{"a card carried over", []*placement.Placement{by(placement.Card), carried}, ""},
		{"faces that may be grey", []*placement.Placement{by(placement.Face), by(placement.Face)}, ""},
		{"no grey", []*placement.Placement{by(placement.Card), nil}, "no grey was found in B (b.mov)"},
		{"no number", []*placement.Placement{by(placement.Card), lost}, "no grey was found in B (b.mov)"},
		{"no grey in two", []*placement.Placement{nil, by(placement.Card), nil},
			"no grey was found in A (a.mov) and C (c.mov)"},
		{"weak", []*placement.Placement{weak, by(placement.Card)}, "the evidence of where grey is in A (a.mov) is weak"},
		{"weak in all", []*placement.Placement{weak, weak, weak},
			"the evidence of where grey is in A (a.mov), B (b.mov) and C (c.mov) is weak"},
		{"card and face", []*placement.Placement{by(placement.Card), by(placement.Face)},
			"grey rests on a card in A (a.mov) and a face in B (b.mov)"},
		{"three ways",
			[]*placement.Placement{by(placement.Region), by(placement.Chart), by(placement.Region), by(placement.Scene)},
			"grey rests on an area given in A (a.mov) and C (c.mov), a chart in B (b.mov) " +
				"and the scene's average in D (d.mov)"},
	} {
		var takes []Measured
		for i, grey := range test.greys {
			// Each is cleaner than the one before.
			m := take(string(rune('a'+i))+".mov", grey, 0.01/curve.Light(i*3+1), 0)
			takes = append(takes, m)
		}
		got := Compare(takes).Recommendation
		want := "No take is recommended: " + test.why + ", so the same tones of the scene cannot be set side by side. "
		switch {
		case test.why == "" && (got.Take == nil || !strings.HasPrefix(got.Reason, "Use ")):
			t.Errorf("%s: %+v", test.name, got.Reason)
		case test.why != "" && (got.Take != nil || got.Path != nil || !strings.HasPrefix(got.Reason, want)):
			t.Errorf("%s: take %v\n got %s\nwant %s", test.name, got.Take, got.Reason, want)
		}
	}
}

// TestUnsureGreyTellsLess: takes told apart by their noise are not where grey is known to half a
// stop only, since the tone they are compared at may be another.
func TestUnsureGreyTellsLess(t *testing.T) {
	for half, want := range map[curve.Stops]bool{0.05: true, 0.5: false} {
		c := Compare([]Measured{take("a.mov", greyAt(0, half), 0.0015, 0), take("b.mov", greyAt(0, half), 0.001, 0)})
		// 20 log10(1.5) = 3.5 dB apart; at 6 dB a stop, half a stop in each is 4.3 dB.
		if got := c.Recommendation.Take != nil; got != want {
			t.Errorf("grey known to ±%v: %s", half, c.Recommendation.Reason)
		}
	}
}
