package pose

import (
	"math"
	"strings"
	"sync/atomic"
	"testing"

	"stopledger/analyze/detect"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// posed is a scene whose thing is 120 x 80 pixels, at +0.5 stops: a pitch of 20 pixels as a chart.
func posed() *Posed {
	return &Posed{Corners: geometry.Upright(100, 100, 120, 80), Stops: 0.5}
}

// detected is a thing found so far from that, in pixels and in stops.
func detected(dx float64, stops curve.Stops) detect.Detection {
	return detect.Detection{Corners: geometry.Upright(100+dx, 100, 120, 80), Stops: 0.5 + stops}
}

// TestJudgeChart: a chart is right within a quarter of a pitch and 0.3 stop, and alone.
func TestJudgeChart(t *testing.T) {
	chart := func(dx float64, stops curve.Stops) detect.Chart {
		return detect.Chart{Detection: detected(dx, stops)}
	}
	for name, c := range map[string]struct {
		found []detect.Chart
		right bool
	}{
		"in place": {[]detect.Chart{chart(0, 0)}, true}, "a little off": {[]detect.Chart{chart(4.9, 0.29)}, true},
		"off": {[]detect.Chart{chart(5.1, 0)}, false}, "other light": {[]detect.Chart{chart(0, -0.31)}, false},
		"two": {[]detect.Chart{chart(0, 0), chart(300, 0)}, false},
	} {
		v := posed().JudgeChart(detect.Findings{Charts: c.found})
		if !v.Found || (v.Fault == "") != c.right {
			t.Errorf("%s: %+v", name, v)
		}
	}
	if v := posed().JudgeChart(detect.Findings{}); v != (Verdict{}) {
		t.Errorf("nothing found: %+v", v)
	}
}

// TestJudgeCard: a card is right where each has the other's middle in it, the light is its own, and
// no chart is seen.
func TestJudgeCard(t *testing.T) {
	card := func(dx float64, stops curve.Stops) []detect.Card {
		return []detect.Card{{Detection: detected(dx, stops)}}
	}
	for name, c := range map[string]struct {
		found detect.Findings
		right bool
	}{
		"in place":       {detect.Findings{Cards: card(0, 0)}, true},
		"a little off":   {detect.Findings{Cards: card(59, 0.2)}, true},
		"another":        {detect.Findings{Cards: card(61, 0)}, false},
		"other light":    {detect.Findings{Cards: card(0, 0.4)}, false},
		"with a chart":   {detect.Findings{Cards: card(0, 0), Charts: make([]detect.Chart, 1)}, false},
		"with a face":    {detect.Findings{Cards: card(0, 0), Faces: make([]detect.Face, 1)}, true},
		"and a weak one": {detect.Findings{Cards: append(card(0, 0), card(400, 2)...)}, true},
	} {
		v := posed().JudgeCard(c.found)
		if !v.Found || (v.Fault == "") != c.right {
			t.Errorf("%s: %+v", name, v)
		}
	}
	if v := posed().JudgeCard(detect.Findings{}); v != (Verdict{}) {
		t.Errorf("nothing found: %+v", v)
	}
}

// TestJudgeEmpty: where there is nothing, whatever is found is wrong.
func TestJudgeEmpty(t *testing.T) {
	if v := posed().JudgeEmpty(detect.Findings{}); v != (Verdict{}) {
		t.Errorf("nothing found: %+v", v)
	}
	v := posed().JudgeEmpty(detect.Findings{Cards: make([]detect.Card, 2), Faces: make([]detect.Face, 1)})
	if !v.Found || !strings.Contains(v.Fault, "0 charts, 2 cards, 1 faces") {
		t.Errorf("%+v", v)
	}
}

// TestTally: wrong ones count as wrong whatever was found, right ones by how far they lie off.
func TestTally(t *testing.T) {
	var c Tally
	for i := range 101 {
		c.Take(Verdict{Found: true, Off: curve.Stops(i) / 1000})
	}
	c.Take(Verdict{})
	c.Take(Verdict{Found: true, Fault: "off", Off: 9})
	middle, most := c.Off()
	if c.Looked != 103 || c.Found != 101 || c.Wrong != 1 {
		t.Errorf("%d looked at, %d found, %d wrong", c.Looked, c.Found, c.Wrong)
	}
	if math.Abs(float64(middle)-0.05) > 1e-9 || math.Abs(float64(most)-0.095) > 0.001 {
		t.Errorf("off by %.4f and %.4f stops", float64(middle), float64(most))
	}
	if middle, _ := new(Tally).Off(); curve.Finite(middle) {
		t.Errorf("off by %.4f stops where nothing was found", float64(middle))
	}
}

// TestEachSeedOnce: every seed is looked at once.
func TestEachSeedOnce(t *testing.T) {
	var sum atomic.Uint64
	c := Each(100, 50, func(seed uint64) Verdict {
		sum.Add(seed)
		return Verdict{Found: seed%2 == 0}
	})
	if c.Looked != 50 || c.Found != 25 || sum.Load() != 100*50+49*50/2 {
		t.Errorf("%d looked at, %d found, seeds add up to %d", c.Looked, c.Found, sum.Load())
	}
}

// TestPlaceInFrame: a plane placed at random lies wholly in the frame, of about the width asked for
// (perspective and tilt make it narrower on the far side).
func TestPlaceInFrame(t *testing.T) {
	for seed := range uint64(50) {
		s := NewScene(640, 360, seed)
		q := s.RandomPlace(120, 0.7)
		if !q.Within(640, 360) {
			t.Errorf("seed %d: %v", seed, q)
		}
		if a := math.Abs(q.Area()); a > 1.5*120*84 || a < 0.3*120*84 {
			t.Errorf("seed %d: an area of %.0f pixels, flat it has %d", seed, a, 120*84)
		}
	}
}

// TestPlaceUpright: without tilt and turn a plane is a rectangle around its centre.
func TestPlaceUpright(t *testing.T) {
	q := Place(geometry.Pt(200, 150), 120, 80, 0, 0, 0, 4)
	if q.Farthest(geometry.Upright(140, 110, 120, 80)) > 1e-9 {
		t.Errorf("%v", q)
	}
}
