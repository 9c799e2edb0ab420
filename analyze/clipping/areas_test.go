package clipping

import (
	"math"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// groupOf makes one group of frames whose cells clip by a picture: a letter is a cell, '.' none,
// '#' all of it, '+' half, '~' all in one channel only, ',' under the limit of a fiftieth.
func groupOf(picture []string, group, frames int, t curve.Seconds) (*counts, cells.Grid) {
	g := cells.NewGrid(cells.Size*len(picture[0]), cells.Size*len(picture))
	c := countsOf(g, group, frames, t)
	for row, line := range picture {
		for col, letter := range line {
			n := map[rune]uint32{'#': cells.Area, '+': cells.Area / 2, '~': cells.Area, ',': 5}[letter] * uint32(frames)
			i := row*g.Cols + col
			c.any[i], c.all[i] = n, n
			if letter == '~' {
				c.all[i] = 0
			}
		}
	}
	return c, g
}

func countsOf(g cells.Grid, group, frames int, t curve.Seconds) *counts {
	n := g.Cols * g.Rows
	return &counts{group: group, t: t, frames: frames, any: make([]uint32, n), all: make([]uint32, n)}
}

// TestAreas joins cells that touch, corners included, and tells fields from points.
func TestAreas(t *testing.T) {
	c, g := groupOf([]string{
		"##....+...",
		"##.....,..",
		"..#.......",
		"......~~..",
		"......~~..",
		".+........",
	}, 0, 4, 1)
	areas := findAreas([]*counts{c}, g, 25)
	want := []Area{
		{Rect: geometry.Rect{X: 0, Y: 0, W: 48, H: 48}, Share: 5.0 / 60},
		{Rect: geometry.Rect{X: 96, Y: 48, W: 32, H: 32}, Share: 4.0 / 60, Some: 1},
		{Rect: geometry.Rect{X: 96, Y: 0, W: 16, H: 16}, Share: 0.5 / 60},
		{Rect: geometry.Rect{X: 16, Y: 80, W: 16, H: 16}, Share: 0.5 / 60},
	}
	if len(areas) != len(want) {
		t.Fatalf("%d areas, want %d: %+v", len(areas), len(want), areas)
	}
	for i, w := range want {
		a := areas[i]
		if a.Rect != w.Rect || !near(a.Share, w.Share) || a.Peak != a.Share || a.Some != w.Some ||
			a.From != 1 || !near(a.To, 1.16) {
			t.Errorf("area %d: %+v, want %+v from 1 to 1.16 s", i, a, w)
		}
	}
	// Half-filled cells are still fields by their fill; what is small is points.
	if areas[0].Kind != Field || areas[1].Kind != Field {
		t.Errorf("fields %+v", areas[:2])
	}
}

func near[T ~float64](got, want T) bool { return math.Abs(float64(got-want)) <= 1e-12 }

// TestFieldsAndPoints puts size and fill of an area just below and above their limits: three
// thousandths of the frame, half of a cell's area.
func TestFieldsAndPoints(t *testing.T) {
	for _, tc := range []struct {
		cells int
		fill  uint32 // samples of 256
		kind  Kind
	}{
		{1, 256, Points}, {3, 256, Points}, {4, 256, Field}, {4, 229, Points}, {4, 231, Field},
		{8, 120, Points}, {8, 128, Field}, {40, 100, Points},
	} {
		g := cells.NewGrid(16*40, 16*30) // 1200 cells: 3.6 are three thousandths
		c := countsOf(g, 0, 1, 0)
		for i := range tc.cells {
			c.any[i] = tc.fill
		}
		areas := findAreas([]*counts{c}, g, 25)
		if len(areas) != 1 || areas[0].Kind != tc.kind {
			t.Errorf("%d cells of %d samples: %+v, want %s", tc.cells, tc.fill, areas, tc.kind)
		}
	}
}

// TestFieldAmongScatter: a window is one however many cells around it clip in part, as where light lies just
// under the ceiling and coding throws it over.
func TestFieldAmongScatter(t *testing.T) {
	c, g := groupOf([]string{
		"~~~~~~~~",
		"~~####~~",
		"~~~~~~~~",
		"~~~~~~~~",
	}, 0, 1, 0)
	for i := range c.any {
		if c.all[i] == 0 {
			c.any[i] = 20
		}
	}
	if areas := findAreas([]*counts{c}, g, 25); len(areas) != 1 || areas[0].Kind != Field {
		t.Errorf("%+v, want one field", areas)
	}
}

// TestAreasOverTime: an area that clips in some groups only has its largest share as peak, its
// mean over all frames as share, and the time from its first to its last group.
func TestAreasOverTime(t *testing.T) {
	pictures := [][]string{{"....", "...."}, {"##..", "...."}, {"####", "...."}, {"....", "...."}}
	var groups []*counts
	var g cells.Grid
	for i, p := range pictures {
		var c *counts
		c, g = groupOf(p, i, 5, curve.Seconds(i))
		groups = append(groups, c)
	}
	areas := findAreas(groups, g, 25)
	if len(areas) != 1 {
		t.Fatalf("%d areas", len(areas))
	}
	a := areas[0]
	box := geometry.Rect{X: 0, Y: 0, W: 64, H: 16}
	if a.Rect != box || a.Peak != 0.5 || !near(a.Share, 6.0/8/4) || a.From != 1 || !near(a.To, 2.2) {
		t.Errorf("%+v, want share 0.1875, peak 0.5, from 1 to 2.2 s", a)
	}
}

// TestManyAreas: the list is bounded, the largest come first.
func TestManyAreas(t *testing.T) {
	g := cells.NewGrid(16*40, 16*30)
	c := countsOf(g, 0, 1, 0)
	for i := range 100 {
		c.any[i/20*2*40+i%20*2] = uint32(100 + i)
	}
	areas := findAreas([]*counts{c}, g, 25)
	if len(areas) != mostAreas {
		t.Fatalf("%d areas, want %d", len(areas), mostAreas)
	}
	for i, a := range areas {
		if want := curve.Share(199-i) / cells.Area / 1200; !near(a.Share, want) {
			t.Errorf("area %d has %v of the frame, want %v", i, float64(a.Share), float64(want))
		}
	}
}
