package html

import (
	"slices"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// That no take is recommended is a headline of its own; a choice is told in one sentence.
func TestVerdictOfTakes(t *testing.T) {
	two := 2
	for _, test := range []struct {
		recommendation  advise.Recommendation
		verdict, reason string
	}{
		{advise.Recommendation{Reason: "No take is recommended: no grey was found in B (b.mov). Shoot a card."},
			"No take is recommended.", "No grey was found in B (b.mov). Shoot a card."},
		{advise.Recommendation{Reason: "No take is better: there is no measurable difference."},
			"No take is better.", "There is no measurable difference."},
		{advise.Recommendation{Reason: "Use B (b.mov): it is cleaner.", Take: &two}, "Use B (b.mov): it is cleaner.", ""},
		{advise.Recommendation{Reason: "B is cleaner but loses 2 %: use B."}, "B is cleaner but loses 2\u00a0%: use B.", ""},
		{advise.Recommendation{Reason: "There are no two takes to compare."}, "There are no two takes to compare.", ""},
		{advise.Recommendation{}, "", ""},
	} {
		if verdict, reason := verdictOf(test.recommendation); verdict != test.verdict || reason != test.reason {
			t.Errorf("%q gives %q and %q", test.recommendation.Reason, verdict, reason)
		}
	}
}

// Settings that differ have a row; those that are the same in all takes are told in words, and those that no
// take says not at all.
func TestSettingsOfTakes(t *testing.T) {
	number := func(v metadata.Setting) *metadata.Setting { return &v }
	c := &report.Comparison{}
	for _, iso := range []metadata.Setting{800, 3200, 800} {
		c.Clips = append(c.Clips, report.Clip{Camera: &metadata.Camera{ISO: number(iso), IrisF: number(2.8)}})
	}
	s := newSettings(c)
	if len(s.Rows) != 1 || !slices.Equal(s.Rows[0], []string{"ISO", "800", "3200", "800"}) ||
		!slices.Equal(s.Head, []string{"setting", "A", "B", "C"}) {
		t.Errorf("head %q, rows %q", s.Head, s.Rows)
	}
	if want := "The same in all takes: iris f/2.8."; s.Alike != want {
		t.Errorf("alike is %q, want %q", s.Alike, want)
	}
	if s := newSettings(&report.Comparison{Clips: make([]report.Clip, 2)}); len(s.Rows) > 0 || s.Alike != "" {
		t.Errorf("nothing is known, and it says %+v", s)
	}
}

// A figure in which no take measurably differs from the first is folded away, and no other.
func TestAlikeFiguresAreFolded(t *testing.T) {
	figure := func(value, difference curve.Amount, told bool) advise.Figure {
		f := advise.Figure{Name: "floor", Unit: "stops"}
		f.Value = &advise.Estimate{Value: value, Low: value - 0.1, High: value + 0.1}
		f.Difference = &advise.Difference{Told: told}
		f.Difference.Value, f.Difference.Low, f.Difference.High = difference, difference-0.1, difference+0.1
		return f
	}
	first := figure(1, 0, false)
	first.Difference = nil
	v := newVersus([]advise.Take{{Figures: []advise.Figure{first, first}},
		{Figures: []advise.Figure{figure(2, 1, true), figure(1.01, 0.01, false)}}})
	if len(v.Rows) != 1 || len(v.Alike) != 1 || !strings.Contains(v.Rows[0].Cells[1].Difference, "from A") {
		t.Errorf("rows %+v, alike %+v", v.Rows, v.Alike)
	}
	if f := v.Folded(); len(f.Rows) != 1 || len(f.Letters) != 2 || f.Rows[0].Cells[1].Told {
		t.Errorf("folded %+v", f)
	}
}
