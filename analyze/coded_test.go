package analyze

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/synth"
)

// record encodes a shot with a real codec and opens the file.
func record(t testing.TB, name string, cam synth.Camera, shot synth.Shot, how synth.Encoding) (*decode.Clip, synth.Truth) {
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

var codings = []struct {
	name      string
	how       synth.Encoding
	sampling  synth.Sampling
	tolerance float64
}{
	{"lossless.mkv", synth.Encoding{Codec: synth.FFV1}, synth.S422, placementLossless},
	{"prores.mov", synth.Encoding{Codec: synth.ProRes422}, synth.S422, placementCoded},
	{"hevc.mp4", synth.Encoding{Codec: synth.HEVC}, synth.S420, placementCoded},
}

// TestPlacement reads a grey card through real codecs from 1.3 stops under to 2.4 over, in three
// curves and both ranges. ProRes has no full range: FFmpeg reads it as narrow always.
func TestPlacement(t *testing.T) {
	for _, name := range []string{"S-Log3", "LogC3", "V-Log"} {
		for _, span := range []curve.Range{curve.Narrow, curve.Full} {
			for _, coding := range codings {
				if span == curve.Full && coding.how.Codec == synth.ProRes422 {
					continue
				}
				for _, stops := range []float64{-1.3, 0, 2.4} {
					t.Run(fmt.Sprintf("%s/range %d/%s/%+.1f", name, span, coding.name, stops), func(t *testing.T) {
						checkPlacement(t, name, span, coding.name, coding.how, coding.sampling, stops, coding.tolerance)
					})
				}
			}
		}
	}
}

func checkPlacement(t *testing.T, name string, span curve.Range, file string, how synth.Encoding, sampling synth.Sampling, stops, tolerance float64) {
	cam := camera(t, name)
	cam.Width, cam.Height, cam.Range, cam.Sampling = 320, 192, span, sampling
	clip, truth := record(t, file, cam, synth.Shot{Scene: synth.Wheelhouse(320, 192), Frames: 3, Seed: 2, Stops: stops}, how)
	card, ok := truth.Region("card")
	if !ok {
		t.Fatal("no card in the scene")
	}
	if span == curve.Full && clip.Info().Range != "full" {
		t.Fatalf("the file is tagged %q", clip.Info().Range)
	}
	set := settings(cam)
	set.Patches = []Patch{patchOf(card.Rect(0), 0.18)}
	r := measure(t, clip, set)
	if d := r.Placement.Stops - truth.Placement; math.Abs(d) > tolerance {
		t.Errorf("placed %+.3f stops, want %+.3f", r.Placement.Stops, truth.Placement)
	}
	if !(r.Placement.Low <= r.Placement.Stops && r.Placement.Stops <= r.Placement.High) {
		t.Errorf("interval %.3f..%.3f does not hold %.3f", r.Placement.Low, r.Placement.High, r.Placement.Stops)
	}
}

// TestHighlightsCoded counts a bright sky through ProRes and HEVC.
func TestHighlightsCoded(t *testing.T) {
	for _, coding := range codings[1:] {
		t.Run(coding.name, func(t *testing.T) {
			cam := camera(t, "S-Log3")
			cam.Ceiling, cam.Sampling = 9, coding.sampling
			clip, truth := record(t, coding.name, cam, synth.Shot{Scene: synth.MessRoomWindow(640, 360), Frames: 3, Seed: 2, Stops: 1}, coding.how)
			r := measure(t, clip, settings(cam))
			checkClipped(t, r, truth, shareCoded)
			if truth.Clipped.Any < 0.05 {
				t.Errorf("only %.3f of the frame clips", truth.Clipped.Any)
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
			clip, truth := record(t, "long.mp4", cam, synth.Shot{Scene: synth.TestTiles(448, 256), Frames: 24, Seed: 4}, how)
			r := measure(t, clip, settings(cam))
			t.Logf("suppressed %q; codec %+v; floor %.2f, truth %.2f", r.Noise.Suppressed, r.Noise.Codec, r.Noise.Floor, truth.FloorStops)
			if r.Noise.Floor < truth.FloorStops-floorLossless {
				t.Errorf("floor %+.2f stops, the camera's is %+.2f", r.Noise.Floor, truth.FloorStops)
			}
			if !math.IsNaN(snrAt(&r.Noise, -4)) && r.Noise.Suppressed != "" {
				t.Error("a suppressed clip still has a signal-to-noise ratio")
			}
		})
	}
}

// TestEveryFrameAgrees measures the same clip in groups and whole.
func TestEveryFrameAgrees(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height = 448, 256
	clip, _ := record(t, "all.mkv", cam, synth.Shot{Scene: synth.TestTiles(448, 256), Frames: 30, Seed: 9}, synth.Encoding{Codec: synth.FFV1})
	set := settings(cam)
	groups := measure(t, clip, set)
	set.EveryFrame = true
	every := measure(t, clip, set)
	if every.Frames != 30 {
		t.Errorf("%d frames measured, want 30", every.Frames)
	}
	if d := every.Noise.Floor - groups.Noise.Floor; math.Abs(d) > 0.03 {
		t.Errorf("floor %.3f in groups, %.3f over every frame", groups.Noise.Floor, every.Noise.Floor)
	}
}

// TestInterruptedMeasurementEnds cancels in the middle.
func TestInterruptedMeasurementEnds(t *testing.T) {
	cam := camera(t, "S-Log3")
	f := expose(t, cam, synth.Shot{Scene: synth.TestTiles(640, 360), Frames: 4, Seed: 9})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	clip, _ := record(t, "stop.mkv", cam, synth.Shot{Scene: synth.TestTiles(640, 360), Frames: 4, Seed: 9}, synth.Encoding{Codec: synth.FFV1})
	if _, err := Clip(ctx, clip, settings(cam)); err == nil {
		t.Error("a cancelled measurement gives no error")
	}
	if r := measure(t, f, settings(cam)); r.Frames != 4 {
		t.Errorf("%d frames, want 4", r.Frames)
	}
}
