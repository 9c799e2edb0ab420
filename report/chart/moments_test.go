package chart

import (
	"strings"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/variation"
	"stopledger/curve"
	"stopledger/report"
)

// moments are groups a second apart from a time on, with grey at these stops.
func moments(from curve.Seconds, grey ...curve.Stops) (list []analyze.Moment) {
	for i, stops := range grey {
		list = append(list, analyze.Moment{T: from + curve.Seconds(i), Placement: stops, Clipped: 0.01 * curve.Share(i+1)})
	}
	return list
}

// What varied over the clip is told with its numbers.
func TestPlacementSays(t *testing.T) {
	stops := curve.Unknown[curve.Stops]()
	for _, test := range []struct {
		variation variation.Result
		want      string
	}{
		{variation.Result{Drift: stops, Step: stops, Flicker: stops}, "Grey by time."},
		{variation.Result{Drift: -0.12, Step: stops, Flicker: stops}, "Grey by time. It drifts by −0.12\u00a0stops."},
		{variation.Result{Drift: stops, Step: 0.3, StepAt: 4, Flicker: stops},
			"Grey by time. It jumps by +0.30\u00a0stops at 4.0\u00a0s."},
		{variation.Result{Drift: stops, Step: 0.3, StepAt: curve.Unknown[curve.Seconds](), Flicker: 0.05, FlickerHz: 7.4},
			"Grey by time. It jumps by +0.30\u00a0stops. It flickers by 0.05\u00a0stops at 7.4\u00a0Hz."},
	} {
		if got := placementSays(&report.Clip{Variation: test.variation}); got != test.want {
			t.Errorf("got %q, want %q", got, test.want)
		}
	}
}

// What clipped over the clip is drawn only where something did, with the document's shares.
func TestClippedOverTime(t *testing.T) {
	c := &report.Clip{Over: moments(0, 0, 0, 0)}
	if _, ok := clippedOverTime(c); ok {
		t.Error("nothing clips, and it is drawn")
	}
	c.Highlights.Clipped.Any = 0.02
	d, ok := clippedOverTime(c)
	if !ok || d.Says != "Clipped share of the frame by time, 2.0\u00a0% on the mean." {
		t.Errorf("drawn %v, says %q", ok, d.Says)
	}
	if got := strings.Join(d.Table.Rows[2], "|"); len(d.Table.Rows) != 3 || got != "2.0\u00a0s|3.0\u00a0%" {
		t.Errorf("table %q", d.Table.Rows)
	}
	c.Over = c.Over[:1]
	if _, ok := clippedOverTime(c); ok {
		t.Error("one moment is drawn as a line")
	}
}
