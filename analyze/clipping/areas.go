package clipping

import (
	"cmp"
	"image"
	"iter"
	"slices"

	"stopledger/analyze/cells"
	"stopledger/analyze/limit"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

const (
	// touched is the clipped share of a cell from which it belongs to an area.
	touched = 0.02
	// mostAreas bounds the list.
	mostAreas = 24
)

// findAreas joins touching cells that clip at any time into areas, largest first. rate is frames
// a second, 0 where unknown.
func findAreas(groups []*counts, g cells.Grid, rate float64) []Area {
	fill := make([]float64, g.Cols*g.Rows) // largest clipped share of the cell in any group
	for _, c := range groups {
		for i, n := range c.any {
			fill[i] = max(fill[i], float64(n)/float64(g.PerCell)/float64(c.frames))
		}
	}
	areas := []Area{}
	for _, set := range components(fill, g) {
		areas = append(areas, areaOf(set, fill, groups, g, rate))
	}
	slices.SortStableFunc(areas, func(a, b Area) int { return cmp.Compare(b.Share, a.Share) })
	return areas[:min(len(areas), mostAreas)]
}

// components returns the connected components of the clipped cells, corners touching included
// (8-connectivity), each as a list of cells.
func components(fill []float64, g cells.Grid) [][]int {
	var found [][]int
	seen := make([]bool, len(fill))
	for start := range fill {
		if seen[start] || fill[start] < touched {
			continue
		}
		seen[start] = true
		set := []int{start}
		for at := 0; at < len(set); at++ {
			for i := range around(set[at], g) {
				if !seen[i] && fill[i] >= touched {
					seen[i] = true
					set = append(set, i)
				}
			}
		}
		found = append(found, set)
	}
	return found
}

// around gives a cell and those that touch it.
func around(cell int, g cells.Grid) iter.Seq[int] {
	return func(yield func(int) bool) {
		col, row := cell%g.Cols, cell/g.Cols
		for y := max(row-1, 0); y <= min(row+1, g.Rows-1); y++ {
			for x := max(col-1, 0); x <= min(col+1, g.Cols-1); x++ {
				if !yield(y*g.Cols + x) {
					return
				}
			}
		}
	}
}

// areaOf describes the area of a set of cells.
func areaOf(set []int, fill []float64, groups []*counts, g cells.Grid, rate float64) Area {
	a := Area{Rect: boxOf(set, g), Kind: Points, From: curve.Unknown[curve.Seconds]()}
	var any, all, frames float64
	for _, c := range groups {
		frames += float64(c.frames)
		here, whole := c.within(set)
		if here == 0 {
			continue
		}
		any += here
		all += whole
		a.Peak = max(a.Peak, curve.Share(here/float64(g.Samples)/float64(c.frames)))
		if !curve.Finite(a.From) {
			a.From = c.t
		}
		a.To = c.t
		if rate > 0 {
			a.To += curve.Seconds(float64(c.frames) / rate)
		}
	}
	a.Share = curve.Share(any / float64(g.Samples) / frames)
	a.Some = curve.Share(1 - all/any)
	if a.Peak >= limit.FieldShare && filled(set, fill, g) >= limit.FieldShare {
		a.Kind = Field
	}
	return a
}

// boxOf returns the upright box around a set of cells.
func boxOf(set []int, g cells.Grid) geometry.Rect {
	var box image.Rectangle
	frame := image.Rect(0, 0, g.Width, g.Height)
	for _, i := range set {
		x, y := i%g.Cols*cells.Size, i/g.Cols*cells.Size
		box = box.Union(image.Rect(x, y, x+cells.Size, y+cells.Size).Intersect(frame))
	}
	return geometry.RectOf(box)
}

// filled returns the share of the frame that clips in those cells of a set of which most is clipped. What
// edges and light that only just clips leave around a field fills none, and does not make it lamps.
func filled(set []int, fill []float64, g cells.Grid) (share curve.Share) {
	for _, i := range set {
		if curve.Share(fill[i]) >= limit.FieldFill {
			share += curve.Share(fill[i] * float64(g.PerCell) / float64(g.Samples))
		}
	}
	return share
}
