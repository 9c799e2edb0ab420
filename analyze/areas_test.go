package analyze

import (
	"image"
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/synth"
)

// gridOf makes one group of frames whose cells clip by a picture: a letter is a cell, '.' none,
// '#' all of it, '+' half, '~' all in one channel only, ',' under the limit of a fiftieth.
func gridOf(picture []string, group, frames int, t float64) (*groupSums, grid) {
	g := newGrid(16*len(picture[0]), 16*len(picture))
	s := &groupSums{group: group, frames: frames, t: t, cells: make([]cellSums, g.cols*g.rows)}
	for row, line := range picture {
		for col, letter := range line {
			n := map[rune]uint32{'#': cellArea, '+': cellArea / 2, '~': cellArea, ',': 5}[letter] * uint32(frames)
			c := &s.cells[row*g.cols+col]
			c.any, c.clipped = n, [3]uint32{n, n, n}
			if c.all = n; letter == '~' {
				c.all, c.clipped = 0, [3]uint32{n, 0, 0}
			}
		}
	}
	return s, g
}

// TestAreas joins cells that touch, corners included, and tells fields from points.
func TestAreas(t *testing.T) {
	s, g := gridOf([]string{
		"##....+...",
		"##.....,..",
		"..#.......",
		"......~~..",
		"......~~..",
		".+........",
	}, 0, 4, 1)
	areas := findAreas([]*groupSums{s}, g, cellArea, 25)
	want := []Area{
		{Box: image.Rect(0, 0, 48, 48), Share: 5.0 / 60, Field: true},
		{Box: image.Rect(96, 48, 128, 80), Share: 4.0 / 60, Field: true, Hue: 1},
		{Box: image.Rect(96, 0, 112, 16), Share: 0.5 / 60},
		{Box: image.Rect(16, 80, 32, 96), Share: 0.5 / 60},
	}
	if len(areas) != len(want) {
		t.Fatalf("%d areas, want %d: %+v", len(areas), len(want), areas)
	}
	for i, w := range want {
		a := areas[i]
		if a.Box != w.Box || math.Abs(a.Share-w.Share) > 1e-12 || a.Peak != a.Share || a.Hue != w.Hue || a.From != 1 || math.Abs(a.To-1.16) > 1e-12 {
			t.Errorf("area %d: %+v, want %+v from 1 to 1.16 s", i, a, w)
		}
	}
	// Half-filled cells are still fields by their fill; what is small is points.
	if !areas[0].Field || !areas[1].Field {
		t.Errorf("fields %+v", areas[:2])
	}
}

// TestFieldsAndPoints puts size and fill of an area just below and above their limits: three
// thousandths of the frame, half of the cells' area.
func TestFieldsAndPoints(t *testing.T) {
	for _, tc := range []struct {
		cells int
		fill  uint32 // samples of 256
		field bool
	}{{1, 256, false}, {3, 256, false}, {4, 256, true}, {4, 229, false}, {4, 231, true}, {8, 120, false}, {8, 128, true}, {40, 100, false}} {
		g := newGrid(16*40, 16*30) // 1200 cells: 3.6 are three thousandths
		s := &groupSums{frames: 1, cells: make([]cellSums, g.cols*g.rows)}
		for i := range tc.cells {
			s.cells[i].any = tc.fill
		}
		areas := findAreas([]*groupSums{s}, g, cellArea, 25)
		if len(areas) != 1 || areas[0].Field != tc.field {
			t.Errorf("%d cells of %d samples: %+v, want field %v", tc.cells, tc.fill, areas, tc.field)
		}
	}
}

// TestAreasOverTime: an area that clips in some groups only has its largest share as peak, its
// mean over all frames as share, and the time from its first to its last group.
func TestAreasOverTime(t *testing.T) {
	pictures := [][]string{{"....", "...."}, {"##..", "...."}, {"####", "...."}, {"....", "...."}}
	var groups []*groupSums
	var g grid
	for i, p := range pictures {
		var s *groupSums
		s, g = gridOf(p, i, 5, float64(i))
		groups = append(groups, s)
	}
	areas := findAreas(groups, g, cellArea, 25)
	if len(areas) != 1 {
		t.Fatalf("%d areas", len(areas))
	}
	a := areas[0]
	if a.Box != image.Rect(0, 0, 64, 16) || a.Peak != 0.5 || math.Abs(a.Share-6.0/8/4) > 1e-12 || a.From != 1 || math.Abs(a.To-2.2) > 1e-12 {
		t.Errorf("%+v, want share 0.1875, peak 0.5, from 1 to 2.2 s", a)
	}
}

// TestManyAreas: the list is bounded, the largest come first.
func TestManyAreas(t *testing.T) {
	g := newGrid(16*40, 16*30)
	s := &groupSums{frames: 1, cells: make([]cellSums, g.cols*g.rows)}
	for i := range 100 {
		s.cells[i/20*2*40+i%20*2].any = uint32(100 + i)
	}
	areas := findAreas([]*groupSums{s}, g, cellArea, 25)
	if len(areas) != mostAreas {
		t.Fatalf("%d areas, want %d", len(areas), mostAreas)
	}
	for i, a := range areas {
		if want := float64(199-i) / cellArea / 1200; math.Abs(a.Share-want) > 1e-12 {
			t.Errorf("area %d has %v of the frame, want %v", i, a.Share, want)
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
				wall := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}, synth.NewPanel(synth.Rect(60, 20, 90, 80), synth.Grey(0.9), 1)}}
				f := expose(t, cam, synth.Shot{Scene: wall, Frames: 4, Seed: 1, Stops: 1})
				f.info.Codec = codec
				set := settings(cam)
				set.Grey = "scene"
				h := measure(t, f, set).Highlights
				if h.Ceiling.Measured || h.Clipped != (Shares{}) {
					t.Errorf("%s, read noise %g, %s: ceiling %+v, clipped %+v", name, noise.Read, codec, h.Ceiling, h.Clipped)
				}
				// From 0.9 a stop over to the curve's end.
				want := f.truth.Reading.Stops(topCode(f.truth.Reading)) - math.Log2(0.9/0.18) - 1
				if math.Abs(h.Headroom-want) > 0.15 {
					t.Errorf("%s, read noise %g: headroom %.2f, want %.2f", name, noise.Read, h.Headroom, want)
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
	end := cam.Reading().Stops(topCode(cam.Reading()))
	for _, tc := range []struct {
		below, width float64 // stops under the end, half a stop of fall across; pixels
		soft         float64 // share of the frame
	}{{0.75, 64, 0}, {0.26, 64, 0.12}, {0.26, 0.1, 0}, {3, 64, 0}} {
		panel := synth.NewPanel(synth.Rect(96, -1, tc.width, 146), synth.Grey(0.18*math.Exp2(end-tc.below)), 1)
		f := expose(t, cam, synth.Shot{Scene: synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}, panel}},
			Frames: 2, Gradient: synth.Gradient{Across: -2}})
		set := settings(cam)
		set.Grey = "scene"
		h := measure(t, f, set).Highlights
		if math.Abs(h.Soft-tc.soft) > 0.012 {
			t.Errorf("%.2f stops under the end: %.4f of the frame in the roll-off, want %.2f", tc.below, h.Soft, tc.soft)
		}
		// The left edge is a quarter of a stop brighter than the middle.
		if tc.width > 1 && math.Abs(h.Headroom-(tc.below-0.25)) > 0.08 {
			t.Errorf("%.2f stops under the end: headroom %.3f", tc.below, h.Headroom)
		}
	}
}

// TestBrightestIsAPercentile: a glint of less than a thousandth of the samples is not the
// brightest content, one of more is.
func TestBrightestIsAPercentile(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Noise = 256, 144, synth.Noise{}
	for side, want := range map[float64]float64{4: 0, 16: 3} { // 16 and 256 pixels of 36,864
		glint := synth.NewPanel(synth.Rect(100, 100, side, side), synth.Grey(0.18*8), 1)
		f := expose(t, cam, synth.Shot{Scene: synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}, glint}}, Frames: 2})
		set := settings(cam)
		set.Grey = "scene"
		if h := measure(t, f, set).Highlights; math.Abs(h.Brightest-want) > 0.05 {
			t.Errorf("a glint of %.0f pixels: brightest content at %+.2f stops, want %+.0f", side, h.Brightest, want)
		}
	}
}

// TestCleanGreyIsNoCeiling: samples of a flat field that lie far out by chance change more than
// those in the middle; that is no collapse of noise, for any noise and whether codes show it.
func TestCleanGreyIsNoCeiling(t *testing.T) {
	for _, sigma := range []float64{0.2, 0.4, 0.7, 0.9, 1, 1.1, 1.5, 2, 4, 8} {
		r := measure(t, noiseFilm(4, sigma, nil), Settings{Reading: readingOf(t, 10), Matrix: curve.BT709, Reflectance: 0.18, Threads: 2, Grey: "scene"})
		if r.Highlights.Ceiling.Measured {
			t.Errorf("sigma %.1f codes: ceiling %+v", sigma, r.Highlights.Ceiling)
		}
	}
}
