package advise

import (
	"strings"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
)

// Takes of different scenes are not weighed against each other, and the headline says so.
func TestTakesOfDifferentScenes(t *testing.T) {
	take := func(path string, stranger bool) Measured {
		return Measured{Path: path, Noise: &noise.Result{}, Clipping: &clipping.Result{}, Stranger: stranger}
	}
	r := Compare([]Measured{take("a.mov", false), take("b.mov", true), take("c.mov", true)}).Recommendation
	if r.Take != nil || r.Path != nil || !strings.Contains(r.Reason, "C (c.mov) show another scene than A (a.mov)") {
		t.Errorf("%+v", r)
	}
	if r := Compare([]Measured{take("a.mov", false), take("b.mov", false)}).Recommendation; strings.Contains(r.Reason,
		"another scene") {
		t.Errorf("%+v", r)
	}
}
