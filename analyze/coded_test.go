package analyze_test

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"stopledger/analyze"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// record encodes a shot with a real codec and opens the file.
func record(t testing.TB, name string, cam synth.Camera, shot synth.Shot,
	how synth.Encoding) (*decode.Clip, synth.Truth) {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	truth, err := synth.Record(path, cam, shot, how)
	if err != nil {
		t.Fatal(err)
	}
	clip, err := decode.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(clip.Close)
	return clip, truth
}

// A coding is a codec with the file it is written to.
type coding struct {
	name      string
	how       synth.Encoding
	sampling  synth.Sampling
	tolerance float64 // of a placement, stops
}

var codings = []coding{
	{"lossless.mkv", synth.Encoding{Codec: synth.FFV1}, synth.S422, placementLossless},
	{"prores.mov", synth.Encoding{Codec: synth.ProRes422}, synth.S422, placementCoded},
	{"hevc.mp4", synth.Encoding{Codec: synth.HEVC}, synth.S420, placementCoded},
}

// TestPlacement reads a grey card through real codecs from 1.3 stops under to 2.4 over, in three
// curves and both ranges. ProRes has no full range: FFmpeg reads it as narrow always.
func TestPlacement(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	for _, name := range []string{"S-Log3", "LogC3", "V-Log"} {
		for _, span := range []curve.Range{curve.Narrow, curve.Full} {
			for _, c := range codings {
				if span == curve.Full && c.how.Codec == synth.ProRes422 {
					continue
				}
				for _, stops := range []curve.Stops{-1.3, 0, 2.4} {
					t.Run(fmt.Sprintf("%s/range %d/%s/%+.1f", name, span, c.name, float64(stops)), func(t *testing.T) {
						cam := camera(t, name)
						cam.Width, cam.Height, cam.Range, cam.Sampling = 320, 192, span, c.sampling
						checkPlacement(t, cam, c, stops)
					})
				}
			}
		}
	}
}

func checkPlacement(t *testing.T, cam synth.Camera, c coding, stops curve.Stops) {
	shot := synth.Shot{Scene: synth.Wheelhouse(320, 192), Frames: 3, Seed: 2, Stops: stops}
	clip, truth := record(t, c.name, cam, shot, c.how)
	card, ok := truth.Region("card")
	if !ok {
		t.Fatal("no card in the scene")
	}
	if cam.Range == curve.Full && clip.Info().Range != "full" {
		t.Fatalf("the file is tagged %q", clip.Info().Range)
	}
	p := measure(t, clip, settledOf(cam), at(card.Rect(0))).Placement
	if d := float64(p.Stops - truth.Placement); math.Abs(d) > c.tolerance {
		t.Errorf("placed %+.3f stops, want %+.3f", float64(p.Stops), float64(truth.Placement))
	}
	if !(p.Low <= p.Stops && p.Stops <= p.High) {
		t.Errorf("interval %.3f..%.3f does not hold %.3f", float64(p.Low), float64(p.High), float64(p.Stops))
	}
}

// TestHighlightsCoded counts a bright sky through ProRes and HEVC.
func TestHighlightsCoded(t *testing.T) {
	for _, c := range codings[1:] {
		t.Run(c.name, func(t *testing.T) {
			cam := camera(t, "S-Log3")
			cam.Ceiling, cam.Sampling = 9, c.sampling
			shot := synth.Shot{Scene: synth.MessRoomWindow(640, 360), Frames: 3, Seed: 2, Stops: 1}
			clip, truth := record(t, c.name, cam, shot, c.how)
			checkClipped(t, measure(t, clip, settledOf(cam), settings()), truth, shareCoded)
			if truth.Clipped.Any < 0.05 {
				t.Errorf("only %.3f of the frame clips", float64(truth.Clipped.Any))
			}
		})
	}
}

// TestLongGOPIsNotFlattered records noise through long-GOP coding, which removes it: whatever is
// said must not be a cleaner floor than the truth.
func TestLongGOPIsNotFlattered(t *testing.T) {
	for _, how := range []synth.Encoding{
		{Codec: synth.HEVC, LongGOP: true, Quality: 14}, {Codec: synth.HEVC, LongGOP: true, Quality: 23},
		{Codec: synth.H264, LongGOP: true, Quality: 18}, {Codec: synth.H264, LongGOP: true, Quality: 23},
	} {
		t.Run(fmt.Sprintf("%s/quality %d", how.Codec, how.Quality), func(t *testing.T) {
			cam := camera(t, "S-Log3")
			cam.Width, cam.Height, cam.Sampling = 448, 256, synth.S420
			shot := synth.Shot{Scene: synth.TestTiles(448, 256), Frames: 24, Seed: 4}
			clip, truth := record(t, "long.mp4", cam, shot, how)
			n := measure(t, clip, settledOf(cam), settings()).Noise
			t.Logf("suppressed %q; codec %+v; floor %.2f", n.Reason, n.Codec, float64(n.Floor))
			if n.Floor < truth.FloorStops-floorLossless {
				t.Errorf("floor %+.2f stops, the camera's is %+.2f", float64(n.Floor), float64(truth.FloorStops))
			}
			if n.Suppressed && curve.Finite(n.SNR(-4).Value) {
				t.Error("a suppressed clip still has a signal-to-noise ratio")
			}
		})
	}
}

// TestLittleIsDecoded counts the frames that are decoded of a long-GOP clip whose noise is hidden: groups begin near
// key frames, and no more of them are measured than tell so.
func TestLittleIsDecoded(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Sampling, cam.Ceiling = 192, 112, synth.S420, 1
	shot := synth.Shot{Scene: synth.Wheelhouse(192, 112), Frames: 150, Seed: 4}
	clip, _ := record(t, "long.mp4", cam, shot, synth.Encoding{Codec: synth.H264, LongGOP: true, Quality: 18})
	decoded := 0
	clip.Watch(func() { decoded++ })
	r := measure(t, clip, settledOf(cam), settings())
	t.Logf("%d frames of %d decoded to measure %d in %d groups", decoded, clip.Info().Frames, r.Frames, r.Groups)
	if most := 90; decoded > most || !r.Noise.Suppressed {
		t.Errorf("%d frames are decoded, want %d at most; hidden: %v", decoded, most, r.Noise.Suppressed)
	}
}

// TestEveryFrameAgrees measures the same clip in groups and whole: noise, grey from an area and from
// a card, levels and what clips; and takes its pictures.
func TestEveryFrameAgrees(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Ceiling = 448, 256, 1
	shot := synth.Shot{Scene: synth.TestTiles(448, 256), Frames: 30, Seed: 9}
	clip, _ := record(t, "all.mkv", cam, shot, synth.Encoding{Codec: synth.FFV1})
	area := geometry.Rect{X: 200, Y: 100, W: 30, H: 30}
	for name, set := range map[string]analyze.Settings{"grey sought": settings(), "area": at(area)} {
		t.Run(name, func(t *testing.T) {
			groups := measure(t, clip, settledOf(cam), set)
			set.EveryFrame = true
			every := measure(t, clip, settledOf(cam), set)
			checkAgree(t, every, groups)
			s, err := analyze.Stills(t.Context(), clip, nil, every, every.Placement, nil, nil)
			if err != nil || s.Frame == nil || s.Waveform == nil {
				t.Errorf("pictures %+v, %v", s.Frame, err)
			}
		})
	}
}

// checkAgree compares two results over the same thirty frames.
func checkAgree(t *testing.T, every, groups *analyze.Result) {
	t.Helper()
	if every.Frames != 30 || groups.Frames != 30 {
		t.Errorf("%d and %d frames measured, want 30", every.Frames, groups.Frames)
	}
	if d := float64(every.Noise.Floor - groups.Noise.Floor); !(math.Abs(d) <= 0.03) {
		t.Errorf("floor %.3f over every frame, %.3f in groups", float64(every.Noise.Floor), float64(groups.Noise.Floor))
	}
	// Sums over the same frames differ in nothing but their order.
	close := func(a, b curve.Stops) bool { return math.Abs(float64(a-b)) <= 1e-9 }
	if !close(every.Levels.Scene.Average, groups.Levels.Scene.Average) {
		t.Errorf("scene %+v and %+v", every.Levels.Scene, groups.Levels.Scene)
	}
	if p, q := every.Placement, groups.Placement; !close(p.Stops, q.Stops) || p.Method != q.Method {
		t.Errorf("placement %+v and %+v", p, q)
	}
	// Fewer frames are scouted for the ceilings.
	if d := float64(every.Clipping.Clipped.Any - groups.Clipping.Clipped.Any); !(math.Abs(d) <= shareLossless) {
		t.Errorf("clipped %+v and %+v", every.Clipping.Clipped, groups.Clipping.Clipped)
	}
}

// TestInterruptedMeasurementEnds cancels in the middle.
func TestInterruptedMeasurementEnds(t *testing.T) {
	cam := camera(t, "S-Log3")
	shot := synth.Shot{Scene: synth.TestTiles(640, 360), Frames: 4, Seed: 9}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	clip, _ := record(t, "stop.mkv", cam, shot, synth.Encoding{Codec: synth.FFV1})
	if _, err := analyze.Clip(ctx, clip, settledOf(cam), settings(), nil); err == nil {
		t.Error("a cancelled measurement gives no error")
	}
	if r, _ := shoot(t, cam, shot, settings()); r.Frames != 4 {
		t.Errorf("%d frames, want 4", r.Frames)
	}
}
