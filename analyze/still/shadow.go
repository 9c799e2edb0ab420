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

// ShadowArea returns the area of a strip whose cells lie nearest to a tone in recorded stops, by
// the sum of squares; ok is false where nothing dark holds together. In a frame that is lower than the area
// it has the frame's height.
func ShadowArea(c levels.Cells, tone curve.Stops) (area geometry.Rect, ok bool) {
	for _, side := range stripSides {
		if area, ok = shadowArea(c, tone, side/cells.Size); ok {
			return area, true
		}
	}
	return area, false
}

// shadowArea is ShadowArea for a side of so many cells at most, and of the least side at least.
func shadowArea(c levels.Cells, tone curve.Stops, side int) (area geometry.Rect, ok bool) {
	wide, high := c.Grid.Width/cells.Size, c.Grid.Height/cells.Size
	cols, rows := min(side, wide), min(side, high)
	if min(cols, rows) < stripSides[len(stripSides)-1]/cells.Size {
		return area, false
	}
	least := math.Inf(1)
	for row := range high - rows + 1 {
		for col := range wide - cols + 1 {
			if off := misses(c, col, row, cols, rows, tone); off < least {
				least = off
				area = geometry.Rect{X: col * cells.Size, Y: row * cells.Size,
					W: cols * cells.Size, H: rows * cells.Size}
			}
		}
	}
	return area, least <= mostOff*mostOff*float64(cols*rows)
}

// misses returns the sum of squares of what the cells of a block differ from a tone.
func misses(c levels.Cells, col, row, cols, rows int, tone curve.Stops) (sum float64) {
	for y := row; y < row+rows; y++ {
		for x := col; x < col+cols; x++ {
			d := float64(c.Stops[y*c.Grid.Cols+x] - tone)
			sum += d * d
		}
	}
	return sum
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
