package analyze_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/clipping"
	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
)

// checkClipped compares ceilings and shares with what the sensor counted.
func checkClipped(t *testing.T, r *analyze.Result, truth synth.Truth, tolerance float64) {
	t.Helper()
	h := r.Clipping
	want := [3]float64{float64(truth.Clipped.R), float64(truth.Clipped.G), float64(truth.Clipped.B)}
	for i, got := range [3]curve.Share{h.Clipped.R, h.Clipped.G, h.Clipped.B} {
		if math.Abs(float64(got)-want[i]) > tolerance {
			t.Errorf("channel %d clipped %.4f of the frame, want %.4f", i, float64(got), want[i])
		}
		if want[i] < 2*tolerance {
			continue
		}
		code := r.Settled.Reading.Code(h.Ceilings.Channel[i])
		if !(math.Abs(float64(code-truth.Ceilings[i])) <= ceilingCodes) {
			t.Errorf("channel %d ceiling at code %.2f, want %.2f", i, float64(code), float64(truth.Ceilings[i]))
		}
	}
	off := func(a, b curve.Share) bool { return math.Abs(float64(a-b)) > tolerance }
	if off(h.Clipped.Any, truth.Clipped.Any) || off(h.Clipped.All, truth.Clipped.All) {
		t.Errorf("%+v, want %+v", h.Clipped, truth.Clipped)
	}
}

// TestHighlights measures skies, windows and lamps through the synthetic camera, with channels
// that clip together and apart.
func TestHighlights(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	scenes := map[string]func(int, int) synth.Scene{
		"sky": synth.HarbourSky, "window": synth.MessRoomWindow, "night": synth.QuayAtNight}
	gains := map[string][3]float64{"together": {}, "apart": {1.6, 1, 1.3}}
	for _, name := range []string{"S-Log3", "LogC3", "V-Log"} {
		for scene, paint := range scenes {
			for how, gain := range gains {
				for _, stops := range []curve.Stops{0, 2} {
					t.Run(fmt.Sprintf("%s/%s/%s/%+.0f", name, scene, how, float64(stops)), func(t *testing.T) {
						cam := camera(t, name)
						cam.Ceiling, cam.Gains = 9, gain
						shot := synth.Shot{Scene: paint(cam.Width, cam.Height), Frames: 4, Seed: 3, Stops: stops}
						r, f := shoot(t, cam, shot, settings())
						checkClipped(t, r, f.Truth, shareLossless)
					})
				}
			}
		}
	}
}

// TestQuietCeilings: low in the curve, with noise that codes hardly show, channels that share a
// ceiling make up for what each alone leaves open.
func TestQuietCeilings(t *testing.T) {
	for _, stops := range []curve.Stops{3, 4, 4.8} {
		for _, noise := range []synth.Noise{{Read: 0.0001, Shot: 0.00001}, {Read: 0.0003, Shot: 0.00003}} {
			t.Run(fmt.Sprintf("%+.1f/shot %g", float64(stops), float64(noise.Shot)), func(t *testing.T) {
				cam := camera(t, "S-Log3")
				cam.Noise, cam.Ceiling = noise, stops.Light()
				shot := synth.Shot{Scene: synth.MessRoomWindow(cam.Width, cam.Height), Frames: 4, Seed: 1, Stops: 1}
				r, f := shoot(t, cam, shot, sceneGrey())
				checkClipped(t, r, f.Truth, shareLossless)
			})
		}
	}
}

// TestBrightWallsAreNoCeiling: a white card, noisy and with so little noise that codes hide it,
// recorded without loss and with, is not taken for a ceiling.
func TestBrightWallsAreNoCeiling(t *testing.T) {
	for _, name := range []string{"S-Log3", "LogC3", "V-Log"} {
		for _, noise := range []synth.Noise{{}, {Read: 0.0003, Shot: 0.00003}, {Read: 0.002, Shot: 0.0003}} {
			for _, codec := range []string{"ffv1", "prores"} {
				cam := camera(t, name)
				cam.Width, cam.Height, cam.Noise = 256, 144, noise
				wall := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)},
					synth.NewPanel(geometry.Upright(60, 20, 90, 80), synth.Grey(0.9), 1)}}
				f := testframes.Expose(t, cam, synth.Shot{Scene: wall, Frames: 4, Seed: 1, Stops: 1})
				f.About.Codec = codec
				h := measure(t, f, settledOf(cam), sceneGrey()).Clipping
				if h.Ceilings.Measured || h.Clipped != (clipping.Shares{}) {
					t.Errorf("%s, read noise %g, %s: ceiling %+v, clipped %+v", name, float64(noise.Read), codec, h.Ceiling, h.Clipped)
				}
				// From 0.9 a stop over to where recordings end: the curve's end, or 94 % for S-Log3.
				want := float64(f.Truth.Reading.Stops(f.Truth.Reading.Limit())) - math.Log2(0.9/0.18) - 1
				if math.Abs(float64(h.Headroom)-want) > 0.15 {
					t.Errorf("%s, read noise %g: headroom %.2f, want %.2f", name, float64(noise.Read), float64(h.Headroom), want)
				}
			}
		}
	}
}

// TestBrightestContent: an uneven panel near the end of the curve is the brightest content, and
// light within a quarter of a stop of the end crowds there.
func TestBrightestContent(t *testing.T) {
	cam := camera(t, "LogC3")
	cam.Width, cam.Height = 256, 144
	end := cam.Reading().Stops(cam.Reading().Top())
	for _, tc := range []struct {
		below curve.Stops // under the end, half a stop of fall across
		width float64     // pixels
		soft  float64     // share of the frame
	}{{0.75, 64, 0}, {0.26, 64, 0.12}, {0.26, 0.1, 0}, {3, 64, 0}} {
		panel := synth.NewPanel(geometry.Upright(96, -1, tc.width, 146), synth.Grey((end - tc.below).Light()), 1)
		h, _ := shoot(t, cam, synth.Shot{Scene: synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}, panel}},
			Frames: 2, Gradient: synth.Gradient{Across: -2}}, sceneGrey())
		if got := float64(h.Clipping.SoftShare); math.Abs(got-tc.soft) > 0.012 {
			t.Errorf("%.2f stops under the end: %.4f of the frame in the roll-off, want %.2f", float64(tc.below), got, tc.soft)
		}
		// The left edge is a quarter of a stop brighter than the middle.
		if got := h.Clipping.Headroom; tc.width > 1 && math.Abs(float64(got-(tc.below-0.25))) > 0.08 {
			t.Errorf("%.2f stops under the end: headroom %.3f", float64(tc.below), float64(got))
		}
	}
}

// TestBrightestIsAPercentile: a glint of less than a thousandth of the samples is not the
// brightest content, one of more is.
func TestBrightestIsAPercentile(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Noise = 256, 144, synth.Noise{}
	for side, want := range map[float64]float64{4: 0, 16: 3} { // 16 and 256 pixels of 36,864
		glint := synth.NewPanel(geometry.Upright(100, 100, side, side), synth.Grey(0.18*8), 1)
		scene := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}, glint}}
		r, _ := shoot(t, cam, synth.Shot{Scene: scene, Frames: 2}, sceneGrey())
		if got := float64(r.Clipping.Brightest); math.Abs(got-want) > 0.05 {
			t.Errorf("a glint of %.0f pixels: brightest content at %+.2f stops, want %+.0f", side, got, want)
		}
	}
}

// TestCleanGreyIsNoCeiling: samples of a flat field that lie far out by chance change more than
// those in the middle; that is no collapse of noise, for any noise and whether codes show it.
func TestCleanGreyIsNoCeiling(t *testing.T) {
	for _, sigma := range []float64{0.2, 0.4, 0.7, 0.9, 1, 1.1, 1.5, 2, 4, 8} {
		how := metadata.Settled{Reading: testframes.Reading(t, 10), Matrix: curve.BT709}
		if h := measure(t, noiseReel(4, sigma), how, sceneGrey()).Clipping; h.Ceilings.Measured {
			t.Errorf("sigma %.1f codes: ceiling %+v", sigma, h.Ceiling)
		}
	}
}

// noiseReel makes frames of white noise of sigma codes in luma around code 420.
func noiseReel(frames int, sigma float64) *film {
	random := rand.New(rand.NewPCG(8, 9))
	k := testframes.Kinds[1]
	return reel(k, testframes.Make(k, 192, 128, 10, frames, func(_, plane, _, _ int) uint16 {
		if plane > 0 {
			return 512
		}
		return uint16(math.Round(420 + sigma*random.NormFloat64()))
	}))
}
