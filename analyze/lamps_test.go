package analyze_test

import (
	"fmt"
	"math"
	"os"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/clipping"
	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode/synth"
)

// lampCamera is a camera of 30,000 electrons that clips six stops over grey at ISO 800.
func lampCamera(t *testing.T, name string, iso float64, s synth.Sampling, width, height int) synth.Camera {
	t.Helper()
	site := synth.Photosite{FullWell: 30000, ReadE: 3, BaseISO: 800, ISO: iso, BaseCeiling: curve.Stops(6).Light()}
	cam := synth.NewCamera(width, height, testframes.Curve(t, name))
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
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	for _, tc := range []struct {
		curve       string
		iso         float64
		stops       curve.Stops
		codecs, all int // every day, and with STOPLEDGER_FULL
	}{{"S-Log3", 3200, 0.5, 2, 4}, {"S-Log3", 800, 0.5, 1, 2}, {"LogC3", 800, 2, 1, 2}} {
		if os.Getenv("STOPLEDGER_FULL") != "" {
			tc.codecs = tc.all
		}
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
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	for i, radius := range []float64{4, 8} {
		for j, c := range lampCodings[:4] {
			if i == j%2 && os.Getenv("STOPLEDGER_FULL") == "" {
				continue // every day each codec with lamps of one size
			}
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
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	uneven := func(i int) float64 { return 9 * math.Exp2(-2*math.Mod(0.618*float64(i), 1)) }
	for name, light := range map[string]func(int) synth.Light{
		"alike, warm":     func(int) synth.Light { return synth.Light{9, 5.4, 2.7} },
		"alike, neutral":  func(int) synth.Light { return synth.Grey(9) },
		"uneven, warm":    func(i int) synth.Light { return synth.Light{1, 0.6, 0.3}.Times(uneven(i)) },
		"uneven, neutral": func(i int) synth.Light { return synth.Grey(curve.Light(uneven(i))) },
	} {
		for _, c := range lampCodings {
			t.Run(fmt.Sprintf("%s/%s", name, c.name), func(t *testing.T) {
				cam := lampCamera(t, "S-Log3", 800, c.sampling, 480, 270)
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
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
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
