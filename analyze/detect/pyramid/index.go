package pyramid

import (
	"math"
	"slices"

	"stopledger/decode/geometry"
)

// An Index finds components by place: a grid of cells, each with those whose centre lies in it.
type Index struct {
	Components []Component // of the level
	Kept       []int32     // those in the index
	like       float64     // see Like
	w, h       int         // cells
	first      []int32     // of each cell, in order; one more at the end
	order      []entry
}

// An entry is what a search needs of a component, close together.
type entry struct {
	at        geometry.Point
	side      float64
	component int32
}

// None stands for no component.
const None = -1

// IndexOf returns an index of the components that keep is true of. like is the ratio of sides
// below which two of them may be neighbours.
func IndexOf(m *Components, like float64, keep func(*Component) bool) *Index {
	x := &Index{Components: m.List, like: like, w: m.Level.W/indexCell + 1, h: m.Level.H/indexCell + 1}
	for i := range m.List {
		if keep(&m.List[i]) {
			x.Kept = append(x.Kept, int32(i))
		}
	}
	x.first = make([]int32, x.w*x.h+1)
	for _, i := range x.Kept {
		x.first[x.cell(m.List[i].Centre)+1]++
	}
	for c := 1; c < len(x.first); c++ {
		x.first[c] += x.first[c-1]
	}
	x.order = make([]entry, len(x.Kept))
	next := slices.Clone(x.first)
	for _, i := range x.Kept {
		b := &m.List[i]
		c := x.cell(b.Centre)
		x.order[next[c]] = entry{b.Centre, m.Side(b), i}
		next[c]++
	}
	return x
}

// Side returns the side of the patch whose flat part a component is, if that is a square.
func (m *Components) Side(b *Component) float64 { return math.Sqrt(float64(b.Area)) + m.Rim }

func (x *Index) cell(p geometry.Point) int {
	return min(max(int(p.Y)/indexCell, 0), x.h-1)*x.w + min(max(int(p.X)/indexCell, 0), x.w-1)
}

// rows calls visit for the entries of the cells within radius of p, one slice for each row of cells.
func (x *Index) rows(p geometry.Point, radius float64, visit func([]entry)) {
	x0, x1 := max(int(p.X-radius)/indexCell, 0), min(int(p.X+radius)/indexCell, x.w-1)
	y0, y1 := max(int(p.Y-radius)/indexCell, 0), min(int(p.Y+radius)/indexCell, x.h-1)
	for y := y0; y <= y1 && x0 <= x1; y++ {
		visit(x.order[x.first[y*x.w+x0]:x.first[y*x.w+x1+1]])
	}
}

// Near calls visit for each component in the index within radius of p.
func (x *Index) Near(p geometry.Point, radius float64, visit func(i int, distance float64)) {
	x.rows(p, radius, func(row []entry) {
		for i := range row {
			if d := row[i].at.Distance(p); d <= radius {
				visit(int(row[i].component), d)
			}
		}
	})
}

// Nearest returns the component in the index closest to p, of a size like that of a patch side, or
// None.
func (x *Index) Nearest(p geometry.Point, radius, side float64) int {
	best, at := radius*radius, int32(None)
	x.rows(p, radius, func(row []entry) {
		for i := range row {
			e := &row[i]
			dx, dy := e.at.X-p.X, e.at.Y-p.Y
			if d := dx*dx + dy*dy; d <= best && x.Like(e.side, side) {
				best, at = d, e.component
			}
		}
	})
	return int(at)
}

// Like reports whether two patches may be neighbours by their sides. The rim that is lost weighs
// on the small, so what the patches would measure is compared.
func (x *Index) Like(a, b float64) bool { return a < x.like*b && b < x.like*a }
