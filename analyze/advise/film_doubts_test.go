package advise_test

import (
	"fmt"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
)

// TestCleanClipsRaiseNoDoubt: scenes with deep shadows and clipped skies, noisy and clean, in
// several curves, ranges and depths, read as they were recorded.
func TestCleanClipsRaiseNoDoubt(t *testing.T) {
	scenes := map[string]func(int, int) synth.Scene{
		"window": synth.MessRoomWindow, "night": synth.QuayAtNight, "table": synth.ChartTable}
	for _, name := range []string{"S-Log3", "LogC3", "V-Log", "BT.709"} {
		for _, span := range []curve.Range{curve.Narrow, curve.Full} {
			for _, bits := range []int{8, 10, 12} {
				for scene, paint := range scenes {
					cam := camera(t, name)
					cam.Range, cam.Bits, cam.Ceiling = span, bits, 9
					cam.Noise = synth.Noise{Read: 0.0006, Shot: 0.0001}
					f := testframes.Expose(t, cam, synth.Shot{Scene: paint(256, 144), Frames: 2, Seed: 1})
					if _, a := judge(t, f, cam.Reading(), sceneGrey()); doubtsOf(a) != "" {
						t.Errorf("%s, range %d, %d bits, %s: %s: %+v", name, span, bits, scene, doubtsOf(a), a.Findings)
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
		for _, name := range []string{"LogC3", "BT.709", "HLG"} {
			t.Run(fmt.Sprintf("%s/%d bits", name, bits), func(t *testing.T) {
				cam := camera(t, name)
				cam.Range, cam.Bits = curve.Full, bits
				black := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0)},
					synth.NewWedge(geometry.Upright(40, 0, 216, 144), 6, -8, 6, 0.5, 0)}}
				f := testframes.Expose(t, cam, synth.Shot{Scene: black, Frames: 2, Seed: 1})
				read := cam.Reading()
				read.Range = curve.Narrow
				if _, a := judge(t, f, read, sceneGrey()); doubtsOf(a) != "range-doubt" {
					t.Errorf("doubts %q, want range-doubt", doubtsOf(a))
				}
			})
		}
	}
}

// TestWhatIsNoWrongRange: noise around black, whites up to 109 % as cameras record them, and black
// bars that an edit has added.
func TestWhatIsNoWrongRange(t *testing.T) {
	bars := func(_, y int, v uint16) uint16 {
		if y < 16 {
			return 64
		}
		return v
	}
	as := func(_, _ int, v uint16) uint16 { return v }
	for _, tc := range []struct {
		name, curve string
		stops       curve.Stops
		noise       synth.Noise
		value       func(x, y int, v uint16) uint16
	}{
		{"noisy night", "S-Log3", -4, synth.Noise{Read: 0.004, Shot: 0.001}, as},
		{"whites at 109 %", "BT.709", 3, synth.Noise{Read: 0.001, Shot: 0.0002}, as},
		{"S-Log2 to its end", "S-Log2", 5, synth.Noise{Read: 0.001, Shot: 0.0002}, as},
		{"bars", "S-Log3", 0, synth.Noise{Read: 0.001, Shot: 0.0002}, bars},
	} {
		cam := camera(t, tc.curve)
		cam.Noise = tc.noise
		f := testframes.Expose(t, cam, synth.Shot{Scene: synth.MessRoomWindow(256, 144), Frames: 3, Seed: 1, Stops: tc.stops})
		f.Change(0, tc.value)
		if _, a := judge(t, f, cam.Reading(), sceneGrey()); doubtsOf(a) != "" {
			t.Errorf("%s: doubts %q", tc.name, doubtsOf(a))
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
		cam.Bits = 8
		f := testframes.Expose(t, cam, synth.Shot{Scene: synth.MessRoomWindow(256, 144), Frames: 2, Seed: 1})
		for plane := range 3 {
			f.Change(plane, func(_, _ int, v uint16) uint16 { return tc.value(v) })
		}
		for _, frame := range f.Frames {
			frame.Bits = tc.bits
		}
		f.About.Bits = tc.bits
		read := cam.Reading()
		read.Bits = tc.bits
		if _, a := judge(t, f, read, sceneGrey()); doubtsOf(a) != "depth-doubt" {
			t.Errorf("%s: doubts %q, want depth-doubt", tc.name, doubtsOf(a))
		}
	}
}

// TestFlatPatchesAreNoShallowPicture: bars and a chart without noise use few codes as well.
func TestFlatPatchesAreNoShallowPicture(t *testing.T) {
	for _, scene := range []synth.Scene{synth.TestTiles(256, 144), synth.ChartTable(256, 144)} {
		cam := camera(t, "S-Log3")
		cam.Noise = synth.Noise{}
		f := testframes.Expose(t, cam, synth.Shot{Scene: scene, Frames: 2})
		if _, a := judge(t, f, cam.Reading(), sceneGrey()); doubtsOf(a) != "" {
			t.Errorf("%s: doubts %q", scene.Name, doubtsOf(a))
		}
	}
}

// TestTwoRegions: a card of 18 % and one of 90 % must agree on the exposure. Read through another
// curve they do not: from S-Log3 to LogC3 a scale of stops is 1.2 times as long.
func TestTwoRegions(t *testing.T) {
	cards := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)},
		synth.NewPanel(geometry.Upright(128, 0, 128, 144), synth.Grey(0.9), 1)}}
	for _, tc := range []struct {
		recorded, read string
		second         curve.Ratio // reflectance told
		want           string
	}{
		{"S-Log3", "S-Log3", 0.9, ""}, {"LogC3", "LogC3", 0.9, ""},
		{"S-Log3", "LogC3", 0.9, "curve-doubt"}, {"LogC3", "S-Log3", 0.9, "curve-doubt"},
		// On either side of the limit of 0.25 stop.
		{"V-Log", "V-Log", 0.9 * 1.17, ""}, {"V-Log", "V-Log", 0.9 * 1.21, "curve-doubt"},
		{"V-Log", "V-Log", 0.9 / 1.17, ""}, {"V-Log", "V-Log", 0.9 / 1.21, "curve-doubt"},
	} {
		cam := camera(t, tc.recorded)
		f := testframes.Expose(t, cam, synth.Shot{Scene: cards, Frames: 2, Stops: 1})
		read := cam.Reading()
		read.Curve = testframes.Curve(t, tc.read)
		grey := placement.GreyFrom{Reflectance: 0.18, Regions: []placement.Patch{
			{Region: geometry.Rect{X: 16, Y: 16, W: 96, H: 112}, Reflectance: 0.18},
			{Region: geometry.Rect{X: 144, Y: 16, W: 96, H: 112}, Reflectance: tc.second}}}
		if _, a := judge(t, f, read, grey); doubtsOf(a) != tc.want {
			t.Errorf("%s read as %s, second region %.3f: doubts %q, want %q", tc.recorded, tc.read, tc.second,
				doubtsOf(a), tc.want)
		}
	}
}

// TestDamagedClips: what can be read is measured, and the loss is told; interlace is told too. A
// clip of which nothing can be read is an error.
func TestDamagedClips(t *testing.T) {
	frames := testframes.Make(testframes.Kinds[0], 64, 48, 10, 4, testframes.Contents(10, 1)["grainy"])
	f := testframes.Reel(frames, "4:2:0", "ffv1")
	f.Lost = 3
	read := curve.Reading{Curve: testframes.Curve(t, "S-Log3"), Bits: 10}
	m, a := judge(t, f, read, sceneGrey())
	if doubtsOf(a) != "truncated" || m.Lost != 3 || m.Frames != 4 {
		t.Errorf("doubts %q, %d lost, %d measured", doubtsOf(a), m.Lost, m.Frames)
	}
	f.Lost, f.About.Interlaced = 0, true
	if _, a := judge(t, f, read, sceneGrey()); doubtsOf(a) != "interlaced" {
		t.Errorf("doubts %q", doubtsOf(a))
	}
	f.Frames, f.Lost = nil, 4
	how := metadata.Settled{Reading: read, Matrix: curve.BT709}
	if r, err := analyze.Clip(t.Context(), f, how, analyze.Settings{GreyFrom: sceneGrey(), Threads: 1}, nil); err == nil {
		t.Errorf("a result without a frame: %+v", r)
	}
}

// TestRangeLimit: of a hundred cells one may lie below narrow range, two are doubted; as many
// samples above its last code, but not at it.
func TestRangeLimit(t *testing.T) {
	read := curve.Reading{Curve: testframes.Curve(t, "BT.709"), Bits: 10}
	for _, tc := range []struct {
		cells int
		code  uint16
		want  string
	}{{1, 30, ""}, {2, 30, "range-doubt"}, {2, 45, ""}, {1, 1020, ""}, {2, 1020, "range-doubt"}, {20, 1019, ""}} {
		frames := testframes.Make(testframes.Kinds[0], 160, 160, 10, 2, func(frame, plane, x, y int) uint16 {
			switch {
			case plane > 0:
				return 512
			case x/16+y/16*10 < tc.cells:
				return tc.code
			}
			return uint16(300 + (x*7+y*13+frame*5)%200)
		})
		_, a := judge(t, testframes.Reel(frames, "4:2:0", "ffv1"), read, sceneGrey())
		if doubtsOf(a) != tc.want {
			t.Errorf("%d cells at code %d: doubts %q, want %q", tc.cells, tc.code, doubtsOf(a), tc.want)
		}
	}
}
