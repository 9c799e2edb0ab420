package detect

import (
	"math"
	"slices"

	"stopledger/decode/geometry"
)

// patchBlobs returns the blobs that may be patches, in a spatial index.
func patchBlobs(m *flatMap, coarsest bool) *blobIndex {
	x := &blobIndex{blobs: m.blobs}
	for i := range m.blobs {
		b := &m.blobs[i]
		if !coarsest && b.area > largestPatchSide*largestPatchSide {
			continue
		}
		if b.squareness() < leastSquareness || b.elongation() > mostElongation {
			continue
		}
		x.keep = append(x.keep, int32(i))
	}
	x.build(m.level.w, m.level.h)
	return x
}

// A blobIndex finds blobs by place.
type blobIndex struct {
	blobs []blob
	keep  []int32
	w, h  int
	first []int32 // of each cell, in order; one more at the end
	order []entry
}

// An entry is what the search needs of a blob, close together.
type entry struct {
	at   geometry.Point
	side float64 // of the patch that the blob would be
	blob int32
}

const indexCell = 12 // level pixels

func (x *blobIndex) build(w, h int) {
	x.w, x.h = w/indexCell+1, h/indexCell+1
	x.first = make([]int32, x.w*x.h+1)
	for _, i := range x.keep {
		x.first[x.cell(x.blobs[i].centre)+1]++
	}
	for c := 1; c < len(x.first); c++ {
		x.first[c] += x.first[c-1]
	}
	x.order = make([]entry, len(x.keep))
	next := slices.Clone(x.first)
	for _, i := range x.keep {
		b := &x.blobs[i]
		c := x.cell(b.centre)
		x.order[next[c]] = entry{b.centre, b.patchSide(), i}
		next[c]++
	}
}

// patchSide is the side of the patch whose flat part the blob is.
func (b *blob) patchSide() float64 { return math.Sqrt(float64(b.area)) + flatRim }

func (x *blobIndex) cell(p geometry.Point) int {
	return min(max(int(p.Y)/indexCell, 0), x.h-1)*x.w + min(max(int(p.X)/indexCell, 0), x.w-1)
}

// rows returns the entries of the cells within radius of p, one slice for each row of cells.
func (x *blobIndex) rows(p geometry.Point, radius float64, visit func([]entry)) {
	x0, x1 := max(int(p.X-radius)/indexCell, 0), min(int(p.X+radius)/indexCell, x.w-1)
	y0, y1 := max(int(p.Y-radius)/indexCell, 0), min(int(p.Y+radius)/indexCell, x.h-1)
	for y := y0; y <= y1 && x0 <= x1; y++ {
		visit(x.order[x.first[y*x.w+x0]:x.first[y*x.w+x1+1]])
	}
}

// near calls visit for each kept blob within radius of p.
func (x *blobIndex) near(p geometry.Point, radius float64, visit func(i int, distance float64)) {
	x.rows(p, radius, func(row []entry) {
		for i := range row {
			if d := row[i].at.Distance(p); d <= radius {
				visit(int(row[i].blob), d)
			}
		}
	})
}

// nearest returns the kept blob closest to p, of a size like that of a patch side, or noBlob.
func (x *blobIndex) nearest(p geometry.Point, radius, side float64) int {
	best, at := radius*radius, int32(noBlob)
	x.rows(p, radius, func(row []entry) {
		for i := range row {
			e := &row[i]
			dx, dy := e.at.X-p.X, e.at.Y-p.Y
			if d := dx*dx + dy*dy; d <= best && likeSide(e.side, side) {
				best, at = d, e.blob
			}
		}
	})
	return int(at)
}

// likeSide reports whether two patches may be neighbours by their size. The rim that is lost weighs
// on the small, so what the patches would measure is compared.
func likeSide(a, b float64) bool { return a < sideTolerance*b && b < sideTolerance*a }
