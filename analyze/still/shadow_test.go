package still

import (
	"image"
	"math"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/analyze/levels"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// cellsAt makes 16 x 13 cells, cut off at the right and the bottom, of a level but for a block.
func cellsAt(level, block curve.Stops, area geometry.Rect) levels.Cells {
	g := cells.NewGrid(16*cells.Size-5, 13*cells.Size-3)
	c := levels.Cells{Grid: g, Stops: make([]curve.Stops, g.Cols*g.Rows)}
	for i := range c.Stops {
		c.Stops[i] = level
		at := image.Pt(i%g.Cols*cells.Size, i/g.Cols*cells.Size)
		if at.In(area.Image()) {
			c.Stops[i] = block
		}
	}
	return c
}

// TestShadowArea finds a dark block where it lies, leaves out cells that are cut off, and finds
// nothing where the nearest tone is more than two stops off.
func TestShadowArea(t *testing.T) {
	dark := geometry.Rect{X: 48, Y: 32, W: 160, H: 160}
	if got, ok := NewShadows(cellsAt(0, -4, dark)).Area(-4); !ok || got != dark {
		t.Errorf("%+v, found %v, want %+v", got, ok, dark)
	}
	corner := geometry.Rect{X: 96, Y: 48, W: 160, H: 160}
	if got, ok := NewShadows(cellsAt(0, -4, corner)).Area(-4); !ok || got.X+got.W > 240 || got.Y+got.H > 192 {
		t.Errorf("%+v, found %v: it holds cells that are cut off", got, ok)
	}
	for off, want := range map[curve.Stops]bool{1.99: true, 2.01: false} {
		if _, ok := NewShadows(cellsAt(-4+off, -4+off, dark)).Area(-4); ok != want {
			t.Errorf("%.2f stops off: found %v", float64(off), ok)
		}
	}
	low := levels.Cells{Grid: cells.NewGrid(640, 80), Stops: make([]curve.Stops, 40*5)}
	if got, ok := NewShadows(low).Area(0); !ok || got.W != 160 || got.H != 80 {
		t.Errorf("in a frame of 640 x 80: %+v, found %v", got, ok)
	}
	small := levels.Cells{Grid: cells.NewGrid(40, 40), Stops: make([]curve.Stops, 9)}
	if got, ok := NewShadows(small).Area(0); ok {
		t.Errorf("an area of %+v in a frame that is smaller", got)
	}
}

// TestTone averages the cells that an area touches.
func TestTone(t *testing.T) {
	c := cellsAt(0, -4, geometry.Rect{X: 48, Y: 32, W: 16, H: 16})
	for _, tc := range []struct {
		area geometry.Rect
		want float64
	}{
		{geometry.Rect{X: 48, Y: 32, W: 16, H: 16}, -4}, {geometry.Rect{X: 50, Y: 40, W: 1, H: 1}, -4},
		{geometry.Rect{X: 47, Y: 32, W: 2, H: 5}, -2}, {geometry.Rect{X: 47, Y: 31, W: 18, H: 18}, -4.0 / 9},
	} {
		if got := float64(Tone(c, tc.area)); math.Abs(got-tc.want) > 1e-12 {
			t.Errorf("%+v: %v stops, want %v", tc.area, got, tc.want)
		}
	}
}
