package analyze_test

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/clipping"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
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
			clip, truth := record(t, c.name, cam, synth.Shot{Scene: synth.MessRoomWindow(640, 360), Frames: 3, Seed: 2, Stops: 1}, c.how)
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
			clip, truth := record(t, "long.mp4", cam, synth.Shot{Scene: synth.TestTiles(448, 256), Frames: 24, Seed: 4}, how)
			n := measure(t, clip, settledOf(cam), settings()).Noise
			t.Logf("suppressed %q; codec %+v; floor %.2f, truth %.2f", n.Reason, n.Codec, float64(n.Floor), float64(truth.FloorStops))
			if n.Floor < truth.FloorStops-floorLossless {
				t.Errorf("floor %+.2f stops, the camera's is %+.2f", float64(n.Floor), float64(truth.FloorStops))
			}
			if n.Suppressed && curve.Finite(n.SNR(-4).Value) {
				t.Error("a suppressed clip still has a signal-to-noise ratio")
			}
		})
	}
}

// TestEveryFrameAgrees measures the same clip in groups and whole: noise, grey from an area and from
// a card, levels and what clips; and takes its pictures.
func TestEveryFrameAgrees(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Ceiling = 448, 256, 1
	shot := synth.Shot{Scene: synth.TestTiles(448, 256), Frames: 30, Seed: 9}
	clip, _ := record(t, "all.mkv", cam, shot, synth.Encoding{Codec: synth.FFV1})
	for name, set := range map[string]analyze.Settings{"grey sought": settings(), "area": at(geometry.Rect{X: 200, Y: 100, W: 30, H: 30})} {
		groups := measure(t, clip, settledOf(cam), set)
		set.EveryFrame = true
		every := measure(t, clip, settledOf(cam), set)
		if every.Frames != 30 || groups.Frames != 30 {
			t.Errorf("%s: %d and %d frames measured, want 30", name, every.Frames, groups.Frames)
		}
		if d := float64(every.Noise.Floor - groups.Noise.Floor); !(math.Abs(d) <= 0.03) {
			t.Errorf("%s: floor %.3f in groups, %.3f over every frame", name, float64(groups.Noise.Floor), float64(every.Noise.Floor))
		}
		// The same frames are counted: sums over them differ in nothing but their order.
		close := func(a, b float64) bool { return math.Abs(a-b) <= 1e-9 }
		if !close(float64(every.Levels.Scene.Average), float64(groups.Levels.Scene.Average)) ||
			!close(float64(every.Placement.Stops), float64(groups.Placement.Stops)) || every.Placement.Method != groups.Placement.Method {
			t.Errorf("%s: scene %+v and %+v, placement %+v and %+v", name, every.Levels.Scene, groups.Levels.Scene, every.Placement, groups.Placement)
		}
		// Fewer frames are scouted for the ceilings.
		if d := float64(every.Clipping.Clipped.Any - groups.Clipping.Clipped.Any); !(math.Abs(d) <= shareLossless) {
			t.Errorf("%s: clipped %+v and %+v", name, every.Clipping.Clipped, groups.Clipping.Clipped)
		}
		s, err := analyze.Stills(t.Context(), clip, every, every.Placement, nil)
		if err != nil || s.Frame == nil || s.Waveform == nil {
			t.Errorf("%s: pictures %+v, %v", name, s.Frame, err)
		}
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

// lampCamera is a camera of 30,000 electrons that clips six stops over grey at ISO 800.
func lampCamera(t *testing.T, name string, iso float64, s synth.Sampling, width, height int) synth.Camera {
	t.Helper()
	site := synth.Photosite{FullWell: 30000, ReadE: 3, BaseISO: 800, ISO: iso, BaseCeiling: curve.Stops(6).Light()}
	cam := synth.NewCamera(width, height, curveNamed(t, name))
	cam.Noise, cam.Ceiling, cam.Grain, cam.Sampling = site.Noise(), site.Ceiling(), synth.Shared, s
	return cam
}

// lampCodings are codecs of different means, with what they make of a frame's edges.
var lampCodings = []coding{
	{name: "lossless.mkv", how: synth.Encoding{Codec: synth.FFV1}, sampling: synth.S422},
	{name: "prores.mov", how: synth.Encoding{Codec: synth.ProRes422}, sampling: synth.S422},
	{name: "dnxhr.mov", how: synth.Encoding{Codec: synth.DNxHR}, sampling: synth.S422},
	{name: "hevc.mov", how: synth.Encoding{Codec: synth.HEVC, Quality: 6}, sampling: synth.S422},
	{name: "hevc.mp4", how: synth.Encoding{Codec: synth.HEVC}, sampling: synth.S420},
	{name: "long.mp4", how: synth.Encoding{Codec: synth.HEVC, LongGOP: true, Quality: 20}, sampling: synth.S420},
}

// TestLamps finds the lamps of a quay at night, a few ten-thousandths of the frame: with the
// ceiling inside the codes and, at ISO 3200 through S-Log3, at their end.
func TestLamps(t *testing.T) {
	for _, tc := range []struct {
		curve  string
		iso    float64
		stops  curve.Stops
		codecs int
	}{{"S-Log3", 3200, 0.5, 4}, {"S-Log3", 800, 0.5, 2}, {"LogC3", 800, 2, 2}} {
		for _, c := range lampCodings[:tc.codecs] {
			t.Run(fmt.Sprintf("%s/ISO %.0f/%s", tc.curve, tc.iso, c.name), func(t *testing.T) {
				cam := lampCamera(t, tc.curve, tc.iso, c.sampling, 1280, 720)
				shot := synth.Shot{Scene: synth.QuayAtNight(1280, 720), Frames: 4, Seed: 1, Stops: tc.stops}
				clip, truth := record(t, c.name, cam, shot, c.how)
				checkLamps(t, measure(t, clip, settledOf(cam), settings()), truth, 4)
			})
		}
	}
}

// checkLamps wants lamps found as points, at the camera's ceiling or, where the codes end, there;
// not clipped pixel for pixel, for which chroma samples are too coarse.
func checkLamps(t *testing.T, r *analyze.Result, truth synth.Truth, lamps int) {
	t.Helper()
	h := r.Clipping
	found := 0
	for i, channel := range h.Ceilings.Channel {
		if !curve.Finite(channel) {
			continue
		}
		found++
		if code := r.Settled.Reading.Code(channel); math.Abs(float64(code-truth.Ceilings[i])) > ceilingLamps {
			t.Errorf("channel %d ceiling at code %.2f, want %.2f", i, float64(code), float64(truth.Ceilings[i]))
		}
	}
	if found == 0 {
		t.Fatalf("no ceiling seen, %.5f of the frame clips", float64(truth.Clipped.Any))
	}
	if got := h.Clipped.Any / truth.Clipped.Any; got < 1-lampsMissed || got > 1 {
		t.Errorf("%.5f of the frame clipped, want %.5f", float64(h.Clipped.Any), float64(truth.Clipped.Any))
	}
	if len(h.Areas) < lamps {
		t.Errorf("%d areas, want the %d lamps", len(h.Areas), lamps)
	}
	for _, a := range h.Areas {
		if a.Kind != clipping.Points {
			t.Errorf("a lamp is a field: %+v", a)
		}
	}
}

// lampRow is the quay without its lamps and glints, and two dozen lamps of a radius instead.
func lampRow(radius float64, light func(lamp int) synth.Light) synth.Scene {
	var parts []synth.Part
	for _, p := range synth.QuayAtNight(640, 360).Parts {
		switch p.(type) {
		case synth.Lamp, *synth.Glints:
		default:
			parts = append(parts, p)
		}
	}
	for i := range 24 {
		parts = append(parts, synth.Lamp{X: (float64(i%8) + 0.53) * 80, Y: (float64(i/8) + 0.37) * 58,
			Radius: radius, Light: light(i), Halo: 0.01})
	}
	return synth.Scene{Parts: parts}
}

// TestSmallLamps finds lamps of warm light a stop and more over the ceiling, down to eight pixels
// across.
func TestSmallLamps(t *testing.T) {
	for _, radius := range []float64{4, 8} {
		for _, c := range lampCodings[:4] {
			t.Run(fmt.Sprintf("%.0f/%s", radius, c.name), func(t *testing.T) {
				cam := lampCamera(t, "S-Log3", 800, c.sampling, 640, 360)
				scene := lampRow(radius, func(int) synth.Light { return synth.Light{60, 36, 18} })
				clip, truth := record(t, c.name, cam, synth.Shot{Scene: scene, Frames: 4, Seed: 1}, c.how)
				checkLamps(t, measure(t, clip, settledOf(cam), settings()), truth, 20)
			})
		}
	}
}

// TestUnclippedLampsAreNoCeiling: lamps a third of a stop under the ceiling do not clip, whether
// they are alike or not, neutral or coloured, and whatever coding made of them.
func TestUnclippedLampsAreNoCeiling(t *testing.T) {
	uneven := func(i int) float64 { return 9 * math.Exp2(-2*math.Mod(0.618*float64(i), 1)) }
	for name, light := range map[string]func(int) synth.Light{
		"alike, warm":     func(int) synth.Light { return synth.Light{9, 5.4, 2.7} },
		"alike, neutral":  func(int) synth.Light { return synth.Grey(9) },
		"uneven, warm":    func(i int) synth.Light { return synth.Light{1, 0.6, 0.3}.Times(uneven(i)) },
		"uneven, neutral": func(i int) synth.Light { return synth.Grey(curve.Light(uneven(i))) },
	} {
		for _, c := range lampCodings {
			t.Run(fmt.Sprintf("%s/%s", name, c.name), func(t *testing.T) {
				cam := lampCamera(t, "S-Log3", 800, c.sampling, 640, 360)
				clip, truth := record(t, c.name, cam, synth.Shot{Scene: lampRow(4, light), Frames: 4, Seed: 1}, c.how)
				if truth.Clipped.Any > 0 {
					t.Fatalf("%.5f of the frame clips", float64(truth.Clipped.Any))
				}
				h := measure(t, clip, settledOf(cam), settings()).Clipping
				if h.Ceilings.Measured || h.Clipped != (clipping.Shares{}) {
					t.Errorf("ceiling %+v, clipped %+v", h.Ceiling, h.Clipped)
				}
			})
		}
	}
}

// TestCodedSky counts a sky that clips through codecs that flatten slow shading, and finds no
// ceiling in it where it stays a stop below.
func TestCodedSky(t *testing.T) {
	for _, how := range []synth.Encoding{{Codec: synth.H264}, {Codec: synth.HEVC, LongGOP: true, Quality: 20}} {
		for _, stops := range []curve.Stops{1, 2} {
			t.Run(fmt.Sprintf("%s/%+.0f", how.Codec, float64(stops)), func(t *testing.T) {
				cam := lampCamera(t, "S-Log3", 800, synth.S420, 1280, 720)
				shot := synth.Shot{Scene: synth.HarbourSky(1280, 720), Frames: 4, Seed: 1, Stops: stops}
				clip, truth := record(t, "sky.mp4", cam, shot, how)
				checkClipped(t, measure(t, clip, settledOf(cam), settings()), truth, shareCoded)
			})
		}
	}
}
