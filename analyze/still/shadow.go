package still

import (
	"math"

	"stopledger/analyze/cells"
	"stopledger/analyze/levels"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// stripSides are the sides of a strip's area in pixels of the frame, whole cells: the first for which
// something dark holds together. It is shown at 400 %.
var stripSides = []int{160, 96, 64}

// StripFrames is how many consecutive frames a strip shows.
const StripFrames = 6

// mostOff is how far an area may lie from the tone wanted, as root mean square over its cells: two
// stops off is no longer a shadow. Common practice, no source.
const mostOff = 2.0

// Shadows are the areas of a frame that a strip may show.
type Shadows struct {
	cells       levels.Cells
	sum, square []float64 // of the stops of all cells above and to the left; one more a row and a column than cells
}

// NewShadows returns the areas of a frame whose cells have these levels.
func NewShadows(c levels.Cells) *Shadows {
	wide := c.Grid.Cols + 1
	s := &Shadows{cells: c, sum: make([]float64, wide*(c.Grid.Rows+1)), square: make([]float64, wide*(c.Grid.Rows+1))}
	for i, stops := range c.Stops {
		at := (i/c.Grid.Cols+1)*wide + i%c.Grid.Cols + 1
		v := float64(stops)
		s.sum[at] = v + s.sum[at-1] + s.sum[at-wide] - s.sum[at-wide-1]
		s.square[at] = v*v + s.square[at-1] + s.square[at-wide] - s.square[at-wide-1]
	}
	return s
}

// Area returns the area of a strip whose cells lie nearest to a tone in recorded stops, by
// the sum of squares; ok is false where nothing dark holds together. In a frame that is lower than the area
// it has the frame's height.
func (s *Shadows) Area(tone curve.Stops) (area geometry.Rect, ok bool) {
	for _, side := range stripSides {
		if area, ok = s.area(tone, side/cells.Size); ok {
			return area, true
		}
	}
	return area, false
}

// area is Area for a side of so many cells at most, and of the least side at least.
func (s *Shadows) area(tone curve.Stops, side int) (area geometry.Rect, ok bool) {
	wide, high := s.cells.Grid.Width/cells.Size, s.cells.Grid.Height/cells.Size
	cols, rows := min(side, wide), min(side, high)
	if min(cols, rows) < stripSides[len(stripSides)-1]/cells.Size {
		return area, false
	}
	least := math.Inf(1)
	for row := range high - rows + 1 {
		for col := range wide - cols + 1 {
			if off := s.misses(col, row, cols, rows, float64(tone)); off < least {
				least = off
				area = geometry.Rect{X: col * cells.Size, Y: row * cells.Size,
					W: cols * cells.Size, H: rows * cells.Size}
			}
		}
	}
	return area, least <= mostOff*mostOff*float64(cols*rows)
}

// misses returns the sum of squares of what the cells of a block differ from a tone.
func (s *Shadows) misses(col, row, cols, rows int, tone float64) float64 {
	wide := s.cells.Grid.Cols + 1
	upper, lower := row*wide+col, (row+rows)*wide+col
	over := func(of []float64) float64 { return of[lower+cols] - of[lower] - of[upper+cols] + of[upper] }
	return over(s.square) - 2*tone*over(s.sum) + tone*tone*float64(cols*rows)
}

// Tone returns the mean recorded stops of the cells that an area touches.
func Tone(c levels.Cells, area geometry.Rect) curve.Stops {
	var sum, n curve.Stops
	for y := area.Y / cells.Size; y*cells.Size < area.Y+area.H; y++ {
		for x := area.X / cells.Size; x*cells.Size < area.X+area.W; x++ {
			sum += c.Stops[y*c.Grid.Cols+x]
			n++
		}
	}
	return sum / n
}
