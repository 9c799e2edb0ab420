package analyze

import (
	"math"
	"testing"

	"stopledger/decode/synth"
)

// TestSceneLevel compares the clip's level with a frame whose halves lie at known light.
func TestSceneLevel(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Noise = 64, 64, synth.Noise{}
	halves := synth.Scene{Parts: []synth.Part{
		synth.Fill{Light: synth.Grey(0.18 / 4)},
		synth.NewPanel(synth.Rect(32, 0, 32, 64), synth.Grey(0.18*8), 1),
	}}
	s := measure(t, expose(t, cam, synth.Shot{Scene: halves, Frames: 2}), settings(cam)).Scene
	// A code is a hundredth of a stop and less where the halves lie.
	for _, got := range []struct{ value, want float64 }{{s.Average, 0.5}, {s.P1, -2}, {s.P10, -2}, {s.P90, 3}, {s.P99, 3}} {
		if math.Abs(got.value-got.want) > 0.02 {
			t.Errorf("%.3f stops, want %.3f: %+v", got.value, got.want, s)
		}
	}
	if s.P50 != s.P10 && s.P50 != s.P90 {
		t.Errorf("median %.3f stops lies in neither half", s.P50)
	}
}
