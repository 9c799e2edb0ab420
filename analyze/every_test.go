package analyze_test

import (
	"math"
	"testing"

	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// TestEveryFrameFindsWhatSamplingFinds: a card held up and a lamp-lit wall bared for two seconds in
// ten, neither at the clip's ends nor in its middle.
func TestEveryFrameFindsWhatSamplingFinds(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Ceiling = 320, 180, curve.Stops(5).Light()
	shown := func(t float64) (dx, dy float64) {
		if t > 2.2 && t < 4.3 {
			return 0, 0
		}
		return 2000, 0
	}
	scene := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.3)},
		synth.Moving{Part: synth.NewCard(geometry.Upright(120, 60, 60, 80), curve.MidGrey), Path: shown},
		synth.Moving{Part: synth.NewPanel(geometry.Upright(220, 0, 100, 60), synth.Grey(30), 1), Path: shown}}}
	f := testframes.Expose(t, cam, synth.Shot{Scene: scene, Frames: 240, Stops: 0.5, Seed: 4})
	set := settings()
	sampled := measure(t, f, settledOf(cam), set)
	set.EveryFrame = true
	every := measure(t, f, settledOf(cam), set)
	p, q := sampled.Placement, every.Placement
	if p.Method != placement.Card || q.Method != p.Method || math.Abs(float64(q.Stops-p.Stops)) > placementLossless {
		t.Errorf("every frame places grey by %s at %+.3f, sampling by %s at %+.3f", q.Method, float64(q.Stops), p.Method,
			float64(p.Stops))
	}
	a, b := sampled.Clipping.Ceiling, every.Clipping.Ceiling
	if a.Origin != b.Origin || math.Abs(float64(a.Code-b.Code)) > 1 {
		t.Errorf("every frame finds the ceiling at %v (%s), sampling at %v (%s)", b.Code, b.Origin, a.Code, a.Origin)
	}
	t.Logf("%s %+.3f, ceiling %v %s", p.Method, float64(p.Stops), a.Code, a.Origin)
}
