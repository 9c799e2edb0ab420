package analyze

import (
	"context"
	"fmt"
	"image"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/synth"
)

// idsOf returns the ids of the doubts.
func idsOf(r *Result) string {
	var ids []string
	for _, f := range r.Doubts {
		ids = append(ids, f.ID)
	}
	return strings.Join(ids, " ")
}

// TestCleanClipsRaiseNoDoubt: scenes with deep shadows and clipped skies, noisy and clean, in
// several curves, ranges and depths, read as they were recorded.
func TestCleanClipsRaiseNoDoubt(t *testing.T) {
	for _, name := range []string{"S-Log3", "LogC3", "V-Log", "BT.709"} {
		for _, span := range []curve.Range{curve.Narrow, curve.Full} {
			for _, bits := range []int{8, 10, 12} {
				for scene, paint := range map[string]func(int, int) synth.Scene{"window": synth.MessRoomWindow, "night": synth.QuayAtNight, "table": synth.ChartTable} {
					cam := camera(t, name)
					cam.Width, cam.Height, cam.Sampling, cam.Range, cam.Bits, cam.Ceiling = 256, 144, synth.S420, span, bits, 9
					cam.Noise = synth.Noise{Read: 0.0006, Shot: 0.0001}
					set := settings(cam)
					set.Grey = "scene"
					r := measure(t, expose(t, cam, synth.Shot{Scene: paint(256, 144), Frames: 2, Seed: 1}), set)
					if ids := idsOf(r); ids != "" {
						t.Errorf("%s, range %d, %d bits, %s: %s: %+v", name, span, bits, scene, ids, r.Doubts)
					}
				}
			}
		}
	}
}

// TestWrongRangeIsDoubted: full-range data read as narrow. Its black lies below the narrow one.
// The other way about, narrow codes all have a meaning in full range, and no code can tell.
func TestWrongRangeIsDoubted(t *testing.T) {
	for _, bits := range []int{8, 10, 12} {
		for _, tc := range []struct {
			curve          string
			recorded, read curve.Range
		}{
			{"LogC3", curve.Full, curve.Narrow}, {"BT.709", curve.Full, curve.Narrow}, {"HLG", curve.Full, curve.Narrow},
		} {
			t.Run(fmt.Sprintf("%s/%d bits/%d as %d", tc.curve, bits, tc.recorded, tc.read), func(t *testing.T) {
				cam := camera(t, tc.curve)
				cam.Width, cam.Height, cam.Sampling, cam.Range, cam.Bits = 256, 144, synth.S420, tc.recorded, bits
				black := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0)}, synth.NewWedge(synth.Rect(40, 0, 216, 144), 6, -8, 6, 0.5, 0)}}
				f := expose(t, cam, synth.Shot{Scene: black, Frames: 2, Seed: 1})
				set := settings(cam)
				set.Grey, set.Reading.Range = "scene", tc.read
				r := measure(t, f, set)
				if ids := idsOf(r); ids != "range-doubt" {
					t.Errorf("doubts %q, want range-doubt", ids)
				}
			})
		}
	}
}

// TestWhatIsNoWrongRange: noise around black, whites up to 109 % as cameras record them, and black
// bars that an edit has added.
func TestWhatIsNoWrongRange(t *testing.T) {
	for name, change := range map[string]func(*synth.Camera, *synth.Shot, *film){
		"noisy night": func(c *synth.Camera, s *synth.Shot, f *film) {
			c.Noise = synth.Noise{Read: 0.004, Shot: 0.001}
			s.Stops = -4
		},
		"whites at 109 %": func(c *synth.Camera, s *synth.Shot, f *film) {
			c.Curve, s.Stops = curveNamed(t, "BT.709"), 3
		},
		"S-Log2 to its end": func(c *synth.Camera, s *synth.Shot, f *film) {
			c.Curve, s.Stops = curveNamed(t, "S-Log2"), 5
		},
		"bars": func(c *synth.Camera, s *synth.Shot, f *film) {
			if f != nil {
				for _, p := range f.frames {
					for y := range 16 {
						for x := range p.Row(0, y) {
							p.Row(0, y)[x] = 64
						}
					}
				}
			}
		},
	} {
		cam := camera(t, "S-Log3")
		cam.Width, cam.Height, cam.Sampling = 256, 144, synth.S420
		shot := synth.Shot{Scene: synth.MessRoomWindow(256, 144), Frames: 3, Seed: 1}
		change(&cam, &shot, nil)
		f := expose(t, cam, shot)
		change(&cam, &shot, f)
		set := settings(cam)
		set.Grey = "scene"
		if ids := idsOf(measure(t, f, set)); ids != "" {
			t.Errorf("%s: doubts %q", name, ids)
		}
	}
}

func curveNamed(t testing.TB, name string) *curve.Curve {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// deepen rewrites a film of 8 bits as one of more.
func deepen(f *film, bits int, value func(uint16) uint16) {
	f.info.Bits = bits
	for i := range f.frames {
		f.frames[i].Bits = bits
		for _, samples := range f.frames[i].Samples {
			for j, v := range samples {
				samples[j] = value(v)
			}
		}
	}
}

// TestShallowPicturesAreDoubted: 8-bit pictures stored in 10 and 12 bits, shifted or multiplied.
func TestShallowPicturesAreDoubted(t *testing.T) {
	for _, tc := range []struct {
		name  string
		bits  int
		value func(uint16) uint16
	}{
		{"shifted to 10", 10, func(v uint16) uint16 { return v << 2 }},
		{"shifted to 12", 12, func(v uint16) uint16 { return v << 4 }},
		{"multiplied to 10", 10, func(v uint16) uint16 { return uint16((uint32(v)*1023 + 127) / 255) }},
		{"repeated bits to 10", 10, func(v uint16) uint16 { return v<<2 | v>>6 }},
		{"multiplied to 12", 12, func(v uint16) uint16 { return uint16((uint32(v)*4095 + 127) / 255) }},
	} {
		cam := camera(t, "S-Log3")
		cam.Width, cam.Height, cam.Sampling, cam.Bits = 256, 144, synth.S420, 8
		f := expose(t, cam, synth.Shot{Scene: synth.MessRoomWindow(256, 144), Frames: 2, Seed: 1})
		deepen(f, tc.bits, tc.value)
		set := settings(cam)
		set.Reading.Bits, set.Grey = tc.bits, "scene"
		if ids := idsOf(measure(t, f, set)); ids != "depth-doubt" {
			t.Errorf("%s: doubts %q, want depth-doubt", tc.name, ids)
		}
	}
}

// TestFlatPatchesAreNoShallowPicture: bars and a chart without noise use few codes as well.
func TestFlatPatchesAreNoShallowPicture(t *testing.T) {
	for _, scene := range []synth.Scene{synth.TestTiles(256, 144), synth.ChartTable(256, 144)} {
		cam := camera(t, "S-Log3")
		cam.Width, cam.Height, cam.Sampling, cam.Noise = 256, 144, synth.S420, synth.Noise{}
		set := settings(cam)
		set.Grey = "scene"
		if ids := idsOf(measure(t, expose(t, cam, synth.Shot{Scene: scene, Frames: 2}), set)); ids != "" {
			t.Errorf("%s: doubts %q", scene.Name, ids)
		}
	}
}

// TestTwoPatches: a card of 18 % and one of 90 % must agree on the exposure. Read through another
// curve they do not: from S-Log3 to LogC3 a scale of stops is 1.2 times as long.
func TestTwoPatches(t *testing.T) {
	cards := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}, synth.NewPanel(synth.Rect(128, 0, 128, 144), synth.Grey(0.9), 1)}}
	for _, tc := range []struct {
		recorded, read string
		second         float64 // reflectance told
		want           string
	}{
		{"S-Log3", "S-Log3", 0.9, ""}, {"LogC3", "LogC3", 0.9, ""}, {"S-Log3", "LogC3", 0.9, "curve-doubt"}, {"LogC3", "S-Log3", 0.9, "curve-doubt"},
		// On either side of the limit of 0.25 stop.
		{"V-Log", "V-Log", 0.9 * 1.17, ""}, {"V-Log", "V-Log", 0.9 * 1.21, "curve-doubt"}, {"V-Log", "V-Log", 0.9 / 1.17, ""}, {"V-Log", "V-Log", 0.9 / 1.21, "curve-doubt"},
	} {
		cam := camera(t, tc.recorded)
		cam.Width, cam.Height, cam.Sampling = 256, 144, synth.S420
		f := expose(t, cam, synth.Shot{Scene: cards, Frames: 2, Stops: 1})
		set := settings(cam)
		set.Reading.Curve = curveNamed(t, tc.read)
		set.Patches = []Patch{{image.Rect(16, 16, 112, 128), 0.18}, {image.Rect(144, 16, 240, 128), tc.second}}
		if ids := idsOf(measure(t, f, set)); ids != tc.want {
			t.Errorf("%s read as %s, second patch %.3f: doubts %q, want %q", tc.recorded, tc.read, tc.second, ids, tc.want)
		}
	}
}

// A brokenReel ends in damage.
type brokenReel struct {
	*reel
	lost int
}

func (b brokenReel) Read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	if err := b.reel.Read(ctx, opt, visit); err != nil {
		return err
	}
	return &decode.Damage{Path: "reel", Frames: len(b.reel.frames), Lost: b.lost}
}

// TestDamagedClips: what can be read is measured, and the loss is told; interlace is told too. A
// clip of which nothing can be read is an error.
func TestDamagedClips(t *testing.T) {
	film := newReel(kinds[1], makeFrames(kinds[1], 64, 48, 10, 4, contents(10, 1)["grainy"]))
	set := Settings{Reading: readingOf(t, 10), Matrix: curve.BT709, Reflectance: 0.18, Threads: 2, Grey: "scene"}
	if r := measure(t, brokenReel{film, 3}, set); idsOf(r) != "truncated" || r.Lost != 3 || r.Frames != 4 {
		t.Errorf("doubts %q, %d lost, %d measured", idsOf(r), r.Lost, r.Frames)
	}
	film.info.Interlaced = true
	r := measure(t, film, set)
	if idsOf(r) != "interlaced" || levelOf(r.Advice, "interlaced") != Note {
		t.Errorf("doubts %q, advice %+v", idsOf(r), r.Advice.Findings)
	}
	film.frames = nil
	if r, err := Clip(t.Context(), brokenReel{film, 4}, set); err == nil {
		t.Errorf("a result without a frame: %+v", r)
	}
}

// TestRangeLimit: of a hundred cells one may lie below narrow range, two are doubted; as many
// samples above its last code, but not at it.
func TestRangeLimit(t *testing.T) {
	for _, tc := range []struct {
		cells int
		code  uint16
		want  string
	}{{1, 30, ""}, {2, 30, "range-doubt"}, {2, 45, ""}, {1, 1020, ""}, {2, 1020, "range-doubt"}, {20, 1019, ""}} {
		c := readingOf(t, 10)
		c.Curve = curveNamed(t, "BT.709")
		film := newReel(kinds[1], makeFrames(kinds[1], 160, 160, 10, 2, func(frame, plane, x, y int) uint16 {
			switch {
			case plane > 0:
				return 512
			case x/16+y/16*10 < tc.cells:
				return tc.code
			}
			return uint16(300 + (x*7+y*13+frame*5)%200)
		}))
		r := measure(t, film, Settings{Reading: c, Matrix: curve.BT709, Reflectance: 0.18, Threads: 1, Grey: "scene"})
		if ids := idsOf(r); ids != tc.want {
			t.Errorf("%d cells at code %d: doubts %q, want %q", tc.cells, tc.code, ids, tc.want)
		}
	}
}
