package analyze

import (
	"fmt"
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/synth"
)

// checkClipped compares ceilings and shares with what the sensor counted.
func checkClipped(t *testing.T, r *Result, truth synth.Truth, tolerance float64) {
	t.Helper()
	h := r.Highlights
	want := [3]float64{truth.Clipped.R, truth.Clipped.G, truth.Clipped.B}
	for i, got := range [3]float64{h.Clipped.R, h.Clipped.G, h.Clipped.B} {
		if math.Abs(got-want[i]) > tolerance {
			t.Errorf("channel %d clipped %.4f of the frame, want %.4f", i, got, want[i])
		}
		if want[i] < 2*tolerance {
			continue
		}
		if code := r.Reading.Code10(h.Ceiling.Channel[i]); !(math.Abs(code-truth.Ceilings[i]) <= ceilingCodes) {
			t.Errorf("channel %d ceiling at code %.2f, want %.2f", i, code, truth.Ceilings[i])
		}
	}
	if math.Abs(h.Clipped.Any-truth.Clipped.Any) > tolerance || math.Abs(h.Clipped.All-truth.Clipped.All) > tolerance {
		t.Errorf("any %.4f all %.4f, want %.4f %.4f", h.Clipped.Any, h.Clipped.All, truth.Clipped.Any, truth.Clipped.All)
	}
}

// TestHighlights measures skies, windows and lamps through the synthetic camera, with channels
// that clip together and apart.
func TestHighlights(t *testing.T) {
	scenes := map[string]func(int, int) synth.Scene{"sky": synth.HarbourSky, "window": synth.MessRoomWindow, "night": synth.QuayAtNight}
	gains := map[string][3]float64{"together": {}, "apart": {1.6, 1, 1.3}}
	for _, name := range []string{"S-Log3", "LogC3", "V-Log"} {
		for scene, make := range scenes {
			for how, gain := range gains {
				for _, stops := range []float64{0, 2} {
					t.Run(fmt.Sprintf("%s/%s/%s/%+.0f", name, scene, how, stops), func(t *testing.T) {
						cam := camera(t, name)
						cam.Ceiling, cam.Gains = 9, gain
						f := expose(t, cam, synth.Shot{Scene: make(cam.Width, cam.Height), Frames: 4, Seed: 3, Stops: stops})
						r := measure(t, f, settings(cam))
						checkClipped(t, r, f.truth, shareLossless)
						t.Logf("clipped any %.4f; headroom %.2f, brightest %+.2f, ceiling %+v, areas %d", f.truth.Clipped.Any, r.Highlights.Headroom, r.Highlights.Brightest, r.Highlights.Ceiling.Measured, len(r.Highlights.Areas))
					})
				}
			}
		}
	}
}

// TestQuietCeilings: low in the curve, with noise that codes hardly show, channels that share a
// ceiling make up for what each alone leaves open.
func TestQuietCeilings(t *testing.T) {
	for _, stops := range []float64{3, 4, 4.8} {
		for _, noise := range []synth.Noise{{Read: 0.0001, Shot: 0.00001}, {Read: 0.0003, Shot: 0.00003}} {
			t.Run(fmt.Sprintf("%+.1f/shot %g", stops, noise.Shot), func(t *testing.T) {
				cam := camera(t, "S-Log3")
				cam.Noise, cam.Ceiling = noise, curve.FromStops(stops)
				f := expose(t, cam, synth.Shot{Scene: synth.MessRoomWindow(cam.Width, cam.Height), Frames: 4, Seed: 1, Stops: 1})
				set := settings(cam)
				set.Grey = "scene"
				checkClipped(t, measure(t, f, set), f.truth, shareLossless)
			})
		}
	}
}
