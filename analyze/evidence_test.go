package analyze

import (
	"math"
	"testing"

	"stopledger/decode/synth"
)

// TestBestEvidence: an area given comes before a chart, a chart before a card, a card before a
// face; what is not sure is passed over, and what is asked for is taken whatever else there is.
func TestBestEvidence(t *testing.T) {
	p := func(method string, confidence float64) *Placement {
		return &Placement{Method: method, Confidence: confidence}
	}
	for _, tc := range []struct {
		name  string
		grey  string
		found []*Placement
		want  string
	}{
		{"all", "auto", []*Placement{p("scene", 0), p("face", 1), p("card", 1), p("chart", 1), p("region", math.NaN())}, "region"},
		{"no area", "", []*Placement{p("scene", 0), p("face", 1), p("card", 1), p("chart", 1)}, "chart"},
		{"a doubtful chart", "auto", []*Placement{p("scene", 0), p("card", 0.9), p("chart", 0.59)}, "card"},
		{"a chart just sure enough", "auto", []*Placement{p("scene", 0), p("card", 0.9), p("chart", 0.6)}, "chart"},
		{"nothing sure", "auto", []*Placement{p("scene", 0), p("face", 0.3), p("card", 0.2)}, "scene"},
		{"a face asked for", "face", []*Placement{p("scene", 0), p("face", 0.3), p("card", 1)}, "face"},
		{"a card asked for and not found", "card", []*Placement{p("scene", 0), p("chart", 1)}, ""},
	} {
		found := map[string]*Placement{}
		for _, f := range tc.found {
			found[f.Method] = f
		}
		m := measurement{set: Settings{Grey: tc.grey}}
		got := ""
		if best := m.best(found); best != nil {
			got = best.Method
		}
		if got != tc.want {
			t.Errorf("%s: %q, want %q", tc.name, got, tc.want)
		}
	}
}

// TestGreyIsFound: a card, a chart and a wall without either, exposed over nominal; what is found
// is the ground for a correction, the wall's average is not.
func TestGreyIsFound(t *testing.T) {
	for _, tc := range []struct {
		scene  func(int, int) synth.Scene
		method string
	}{{synth.Wheelhouse, "card"}, {synth.ChartTable, "chart"}, {synth.Bulkhead, "scene"}} {
		cam := camera(t, "S-Log3")
		f := expose(t, cam, synth.Shot{Scene: tc.scene(cam.Width, cam.Height), Frames: 4, Seed: 2, Stops: 1})
		r := measure(t, f, settings(cam))
		p := r.Placement
		if p == nil || p.Method != tc.method {
			t.Errorf("%s: %+v, want a %s", f.truth.PlacementFrom, p, tc.method)
			continue
		}
		if weak := tc.method == "scene"; p.Weak != weak || (r.Advice.Action == "hold") != weak {
			t.Errorf("%s: weak %v, advice %s", p.Method, p.Weak, r.Advice.Action)
		}
		if !p.Weak && math.Abs(p.Stops-f.truth.Placement) > foundGrey {
			t.Errorf("%s: placed %+.3f, want %+.3f", p.Method, p.Stops, f.truth.Placement)
		}
		used := 0
		for _, c := range p.Candidates {
			used += count(c.Used)
		}
		if used != 1 {
			t.Errorf("%s: %d candidates are used: %+v", p.Method, used, p.Candidates)
		}
	}
}
