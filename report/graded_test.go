package report_test

import (
	"math"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/curve"
	. "stopledger/report"
	"stopledger/report/internal/reporttest"
)

// Two exposure changes are the same where they print alike, at two decimals.
func TestSameChange(t *testing.T) {
	for _, test := range []struct {
		a, b curve.Stops
		want bool
	}{{1.65, 1.65, true}, {1.65, 1.6512, true}, {1.65, 1.6449, false}, {0, -0.0049, true}, {0, 0.005, false},
		{-1, 1, false}, {curve.Stops(math.NaN()), curve.Stops(math.NaN()), false}} {
		if got := SameChange(test.a, test.b); got != test.want {
			t.Errorf("%v and %v: %v, want %v", test.a, test.b, got, test.want)
		}
	}
}

func TestGradedAt(t *testing.T) {
	c := &Clip{}
	if c.GradedAt(0) != nil {
		t.Error("nothing was graded, and something is found")
	}
	c.Noise.Graded = []advise.Graded{{Name: "as recorded"}, {Name: "advised", Stops: -1.6512}, {Name: "lift", Stops: 2}}
	for change, want := range map[curve.Stops]string{0: "as recorded", -1.65: "advised", 2: "lift"} {
		if got := c.GradedAt(change); got == nil || got.Name != want {
			t.Errorf("at %v: %+v, want %s", change, got, want)
		}
	}
	if got := c.GradedAt(1); got != nil {
		t.Errorf("at a change nobody asked for: %+v", got)
	}
	c.GradedAt(2).Visible = -3
	if c.Noise.Graded[2].Visible != -3 {
		t.Error("what is found is a copy")
	}
}

// A rounded document has the numbers that its file has; the document itself keeps its own.
func TestRounded(t *testing.T) {
	doc := reporttest.Day(t)
	c := &doc.Clips[0]
	c.Placement.Stops, c.Noise.Model.Read = 1.651249, 0.000312345678
	c.Highlights.Clipped.R, c.Noise.Floor = 0.0412345678, curve.Stops(math.Inf(-1))
	rounded, err := doc.Rounded()
	if err != nil {
		t.Fatal(err)
	}
	r := rounded.Clips[0]
	for name, pair := range map[string][2]float64{
		"stops":  {float64(r.Placement.Stops), 1.6512},      // four decimals
		"light":  {float64(r.Noise.Model.Read), 0.00031235}, // five digits
		"shares": {float64(r.Highlights.Clipped.R), 0.041235},
	} {
		if pair[0] != pair[1] {
			t.Errorf("%s: %g, want %g", name, pair[0], pair[1])
		}
	}
	if !math.IsNaN(float64(r.Noise.Floor)) {
		t.Errorf("what is not finite is %v", r.Noise.Floor)
	}
	if c.Placement.Stops != 1.651249 || r.Path != c.Path || len(rounded.Clips) != len(doc.Clips) {
		t.Error("the document is not as it was, or its copy is another one")
	}
	takes, err := reporttest.Takes(t).Rounded()
	if err != nil || len(takes.Takes) != 3 || takes.Takes[1].Figures[0].Difference == nil {
		t.Errorf("a comparison: %v", err)
	}
}

func TestPaths(t *testing.T) {
	if got := Paths(reporttest.Day(t).Clips); len(got) != 3 || got[0] != "quay/take9.mov" {
		t.Errorf("%q", got)
	}
	if got := Paths(nil); len(got) != 0 {
		t.Errorf("of no clips: %q", got)
	}
}
