package analyze_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
	"stopledger/testdata/footage"
)

// quantised is the variance that rounding to whole codes adds, uniform over one code.
const quantised = 1.0 / 12

// measureReal measures a camera-made clip read by a curve, the scene its grey where set has none.
func measureReal(t *testing.T, file, name string, rng curve.Range, m curve.Matrix, set analyze.Settings) *analyze.Result {
	t.Helper()
	clip, err := decode.Open(footage.Path(t, file))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(clip.Close)
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	how := metadata.Settled{Reading: curve.Reading{Curve: c, Range: rng, Bits: clip.Info().Bits}, Matrix: m}
	set.Reflectance, set.Threads = curve.MidGrey, 2
	r, err := analyze.Clip(t.Context(), clip, how, set, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func regionOf(x, y, w, h int) analyze.Settings {
	patch := placement.Patch{Region: geometry.Rect{X: x, Y: y, W: w, H: h}, Reflectance: curve.MidGrey}
	return analyze.Settings{GreyFrom: placement.GreyFrom{Regions: []placement.Patch{patch}}}
}

// TestRealTiles measures flat fields of a real sensor, EMVA 1288 reference set 002, a region each:
// the mean of some unclipped tiles is to agree within 0.01 DN.
func TestRealTiles(t *testing.T) {
	raw, err := os.ReadFile(footage.Path(t, "emva002/mosaic48.truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	var tiles []struct {
		Tile [4]int  `json:"tile"` // x, y, width, height
		Mean float64 `json:"mean_dn"`
	}
	if err := json.Unmarshal(raw, &tiles); err != nil {
		t.Fatal(err)
	}
	for _, i := range []int{0, 1, 2, 5, 10, 15, 20, 25, 30} {
		at := tiles[i].Tile
		set := regionOf(at[0], at[1], at[2], at[3])
		r := measureReal(t, "emva002/mosaic48_linear8.mkv", "Linear", curve.Full, curve.BT709, set)
		mean := float64(r.Placement.Stops.Light()) * 255
		if math.Abs(mean-tiles[i].Mean) > 0.01 {
			t.Errorf("tile %d: mean %.3f DN, want %.3f", i, mean, tiles[i].Mean)
		}
	}
}

// TestRealStacks measures the bright stack of the same camera: temporal variance 2.498 DN^2 within
// 3 % (published with the data: 16 frames, mean over pixels).
func TestRealStacks(t *testing.T) {
	set := regionOf(0, 0, 640, 480)
	set.EveryFrame = true
	r := measureReal(t, "emva002/bright_static16.mkv", "Linear", curve.Full, curve.BT709, set)
	tone := mainTone(r.Noise.Tones)
	const codes = 1.0 / 4 // of 8 bits to one of 10
	sigma := float64(tone.SigmaCode) * codes
	if got := sigma*sigma + quantised; math.Abs(got/2.498-1) > 0.03 {
		t.Errorf("temporal variance %.4f DN^2, want 2.498", got)
	}
}

// mainTone is the tone with most cells.
func mainTone(tones []noise.Tone) (main noise.Tone) {
	for _, tone := range tones {
		if tone.Cells > main.Cells {
			main = tone
		}
	}
	return main
}

// TestRealDarkStackIsBelow: the dark stack's noise, 0.34 DN, is below what whole codes show.
func TestRealDarkStackIsBelow(t *testing.T) {
	r := measureReal(t, "emva002/dark_static16.mkv", "Linear", curve.Full, curve.BT709, analyze.Settings{})
	if len(r.Noise.Tones) == 0 {
		t.Error("no tone was measured")
	}
	for _, tone := range r.Noise.Tones {
		if curve.Finite(tone.SigmaCode) && tone.Cells > 50 {
			t.Errorf("%s: sigma %.3f is given, although whole codes cannot show it", tone.Recorded.Signed(1), tone.SigmaCode)
		}
	}
}

// TestRealPhones opens phone and web clips: their noise is suppressed, and must be called so.
func TestRealPhones(t *testing.T) {
	for file, name := range map[string]string{
		"video/phone-rooftops-hlg-hevc10-editlist.mp4": "HLG", "video/rooftops-pq-hevc10.mp4": "PQ",
		"video/phone-rooftops-hlg-cut.mov": "HLG", "video/rooftops-pq-cut.mp4": "PQ",
		"video/roadtrip-vp9-10bit.webm": "HLG",
	} {
		t.Run(file, func(t *testing.T) {
			r := measureReal(t, file, name, curve.Narrow, curve.BT2020, analyze.Settings{})
			if !r.Noise.Suppressed || r.Noise.Reason == "" {
				t.Errorf("noise is not called suppressed: %+v", r.Noise.Codec)
			}
			if r.Placement == nil || !r.Placement.Weak {
				t.Errorf("placement %+v is not weak", r.Placement)
			}
			t.Log(r.Frames, "frames;", r.Noise.Reason)
		})
	}
}
