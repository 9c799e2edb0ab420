package analyze

import (
	"fmt"
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/synth"
)

// lampCamera is a camera of 30,000 electrons that clips six stops over grey at ISO 800.
func lampCamera(t *testing.T, name string, iso float64, s synth.Sampling, width, height int) synth.Camera {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	site := synth.Photosite{FullWell: 30000, ReadE: 3, BaseISO: 800, ISO: iso, BaseCeiling: curve.FromStops(6)}
	cam := synth.NewCamera(width, height, c)
	cam.Noise, cam.Ceiling, cam.Grain, cam.Sampling = site.Noise(), site.Ceiling(), synth.Shared, s
	return cam
}

// lampCodings are codecs of different means, with what they make of a frame's edges.
var lampCodings = []struct {
	name     string
	how      synth.Encoding
	sampling synth.Sampling
}{
	{"lossless.mkv", synth.Encoding{Codec: synth.FFV1}, synth.S422},
	{"prores.mov", synth.Encoding{Codec: synth.ProRes422}, synth.S422},
	{"dnxhr.mov", synth.Encoding{Codec: synth.DNxHR}, synth.S422},
	{"hevc.mov", synth.Encoding{Codec: synth.HEVC, Quality: 6}, synth.S422},
	{"hevc.mp4", synth.Encoding{Codec: synth.HEVC}, synth.S420},
	{"long.mp4", synth.Encoding{Codec: synth.HEVC, LongGOP: true, Quality: 20}, synth.S420},
}

// TestLamps finds the lamps of a quay at night, a few ten-thousandths of the frame: with the
// ceiling inside the codes and, at ISO 3200 through S-Log3, at their end.
func TestLamps(t *testing.T) {
	for _, tc := range []struct {
		curve  string
		iso    float64
		stops  float64
		codecs int
	}{{"S-Log3", 3200, 0.5, 4}, {"S-Log3", 800, 0.5, 2}, {"LogC3", 800, 2, 2}} {
		for _, coding := range lampCodings[:tc.codecs] {
			t.Run(fmt.Sprintf("%s/ISO %.0f/%s", tc.curve, tc.iso, coding.name), func(t *testing.T) {
				cam := lampCamera(t, tc.curve, tc.iso, coding.sampling, 1280, 720)
				clip, truth := record(t, coding.name, cam, synth.Shot{Scene: synth.QuayAtNight(1280, 720), Frames: 4, Seed: 1, Stops: tc.stops}, coding.how)
				checkLamps(t, measure(t, clip, settings(cam)), truth, 4)
			})
		}
	}
}

// checkLamps wants lamps found as points, at the camera's ceiling or, where the codes end, there;
// not clipped pixel for pixel, for which chroma samples are too coarse.
func checkLamps(t *testing.T, r *Result, truth synth.Truth, lamps int) {
	t.Helper()
	h := r.Highlights
	found := 0
	for i, code := range h.Ceiling.Channel {
		if math.IsNaN(code) {
			continue
		}
		found++
		if d := r.Reading.Code10(code) - truth.Ceilings[i]; math.Abs(d) > ceilingLamps {
			t.Errorf("channel %d ceiling at code %.2f, want %.2f", i, r.Reading.Code10(code), truth.Ceilings[i])
		}
	}
	if found == 0 {
		t.Fatalf("no ceiling seen, %.5f of the frame clips", truth.Clipped.Any)
	}
	if got := h.Clipped.Any / truth.Clipped.Any; got < 1-lampsMissed || got > 1 {
		t.Errorf("%.5f of the frame clipped, want %.5f", h.Clipped.Any, truth.Clipped.Any)
	}
	if len(h.Areas) < lamps {
		t.Errorf("%d areas, want the %d lamps", len(h.Areas), lamps)
	}
	for _, a := range h.Areas {
		if a.Field {
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
		parts = append(parts, synth.Lamp{X: (float64(i%8) + 0.53) * 80, Y: (float64(i/8) + 0.37) * 58, Radius: radius, Light: light(i), Halo: 0.01})
	}
	return synth.Scene{Parts: parts}
}

// TestSmallLamps finds lamps of warm light a stop and more over the ceiling, down to eight pixels
// across.
func TestSmallLamps(t *testing.T) {
	for _, radius := range []float64{4, 8} {
		for _, coding := range lampCodings[:4] {
			t.Run(fmt.Sprintf("%.0f/%s", radius, coding.name), func(t *testing.T) {
				cam := lampCamera(t, "S-Log3", 800, coding.sampling, 640, 360)
				scene := lampRow(radius, func(int) synth.Light { return synth.Light{60, 36, 18} })
				clip, truth := record(t, coding.name, cam, synth.Shot{Scene: scene, Frames: 4, Seed: 1}, coding.how)
				checkLamps(t, measure(t, clip, settings(cam)), truth, 20)
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
		"uneven, neutral": func(i int) synth.Light { return synth.Grey(uneven(i)) },
	} {
		for _, radius := range []float64{4} {
			for _, coding := range lampCodings {
				t.Run(fmt.Sprintf("%s/%.0f/%s", name, radius, coding.name), func(t *testing.T) {
					cam := lampCamera(t, "S-Log3", 800, coding.sampling, 640, 360)
					clip, truth := record(t, coding.name, cam, synth.Shot{Scene: lampRow(radius, light), Frames: 4, Seed: 1}, coding.how)
					if truth.Clipped.Any > 0 {
						t.Fatalf("%.5f of the frame clips", truth.Clipped.Any)
					}
					if h := measure(t, clip, settings(cam)).Highlights; h.Ceiling.Measured || h.Clipped != (Shares{}) {
						t.Errorf("ceiling %+v, clipped %+v", h.Ceiling, h.Clipped)
					}
				})
			}
		}
	}
}

// TestCodedSky counts a sky that clips through codecs that flatten slow shading, and finds no
// ceiling in it where it stays a stop below.
func TestCodedSky(t *testing.T) {
	for _, how := range []synth.Encoding{{Codec: synth.H264}, {Codec: synth.HEVC, LongGOP: true, Quality: 20}} {
		for _, stops := range []float64{1, 2} {
			t.Run(fmt.Sprintf("%s/%+.0f", how.Codec, stops), func(t *testing.T) {
				cam := lampCamera(t, "S-Log3", 800, synth.S420, 1280, 720)
				clip, truth := record(t, "sky.mp4", cam, synth.Shot{Scene: synth.HarbourSky(1280, 720), Frames: 4, Seed: 1, Stops: stops}, how)
				checkClipped(t, measure(t, clip, settings(cam)), truth, shareCoded)
			})
		}
	}
}
