package analyze_test

import (
	"math"
	"testing"

	"stopledger/analyze/levels"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// TestPlacementInNoise averages light, not codes, and keeps what noise takes below black: with
// noise of eight codes, clamping it would read 0.36 stop too bright at -8 stops of S-Log3 (worked
// with numpy), and codes averaged before they are decoded 0.016 too dark at its kink.
func TestPlacementInNoise(t *testing.T) {
	for _, stops := range []curve.Stops{-8, -7, -6, -5, -4, -3, -2, 0} {
		cam := camera(t, "S-Log3")
		cam.Width, cam.Height, cam.Sampling = 256, 160, synth.S420
		cam.Noise = synth.Noise{Read: 8.0 / 6774 / 0.74} // 0.74 of a channel's noise is left in luma
		grey := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}}}
		r, _ := shoot(t, cam, synth.Shot{Scene: grey, Frames: 4, Seed: 2, Stops: stops}, at(geometry.Rect{W: 256, H: 160}))
		// Four standard errors of the mean light.
		sampled := 4 * 8.0 / 6774 / float64(stops.Light()) / math.Sqrt(256*160*4) / math.Ln2
		if d := float64(r.Placement.Stops - stops); math.Abs(d) > sampled+placementLossless/2 {
			t.Errorf("placed %+.4f off %+.0f, want within %.4f", d, float64(stops), sampled+placementLossless/2)
		}
	}
}

// TestPlacementIntervals: shading over the card, drift over the clip and a card of another
// reflectance.
func TestPlacementIntervals(t *testing.T) {
	// The mean of light that rises by 0.625 stop across, from half a stop under.
	shaded := math.Log2((math.Exp2(0.125) - math.Exp2(-0.5)) / (0.625 * math.Ln2))
	for _, tc := range []struct {
		name        string
		shot        synth.Shot
		reflectance curve.Ratio
		stops       float64
		wide        bool
	}{
		{"even", synth.Shot{}, 0.18, 0, false},
		{"white side", synth.Shot{Stops: 1}, 0.9, 1 + math.Log2(0.18/0.9), false},
		{"shaded", synth.Shot{Gradient: synth.Gradient{Across: 1}}, 0.18, shaded, true},
		{"fading", synth.Shot{Drift: 0.5}, 0.18, 0.5 * 95 / 25 / 2, true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			tc.shot.Frames = 96
			set := at(geometry.Rect{W: 32, H: 48})
			set.Regions[0].Reflectance = tc.reflectance
			if tc.shot.Gradient.Across != 0 {
				set.Regions[0].Region.W = 40
			}
			r, _ := shoot(t, wallCamera(t), wall(tc.shot), set)
			low, high := float64(r.Placement.Low), float64(r.Placement.High)
			if !(low <= tc.stops && tc.stops <= high) {
				t.Errorf("interval %.4f..%.4f does not hold %.4f", low, high, tc.stops)
			}
			if wide := 2*r.Placement.Reading > 0.05; wide != tc.wide {
				t.Errorf("read to ±%.4f, wide %v", r.Placement.Reading, tc.wide)
			}
		})
	}
}

// TestSceneLevel compares the clip's level with a frame whose halves lie at known light.
func TestSceneLevel(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Noise = 64, 64, synth.Noise{}
	halves := synth.Scene{Parts: []synth.Part{
		synth.Fill{Light: synth.Grey(0.18 / 4)},
		synth.NewPanel(geometry.Upright(32, 0, 32, 64), synth.Grey(0.18*8), 1),
	}}
	r, _ := shoot(t, cam, synth.Shot{Scene: halves, Frames: 2}, settings())
	checkScene(t, r.Levels.Scene)
}

func checkScene(t *testing.T, s levels.Scene) {
	t.Helper()
	// A code is a hundredth of a stop and less where the halves lie.
	for _, got := range []struct{ value, want curve.Stops }{
		{s.Average, 0.5}, {s.P1, -2}, {s.P10, -2}, {s.P90, 3}, {s.P99, 3}} {
		if math.Abs(float64(got.value-got.want)) > 0.02 {
			t.Errorf("%.3f stops, want %.3f: %+v", float64(got.value), float64(got.want), s)
		}
	}
	if s.P50 != s.P10 && s.P50 != s.P90 {
		t.Errorf("median %.3f stops lies in neither half", float64(s.P50))
	}
}
