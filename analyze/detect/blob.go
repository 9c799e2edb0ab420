package detect

import (
	"math"

	"stopledger/decode/geometry"
)

// A blob is one connected flat area of a level. Coordinates and area are the level's.
type blob struct {
	area        int
	centre      geometry.Point
	xx, yy, xy  float64 // central second moments over the area
	y, u, v     float64 // mean signal
	first, last int     // its runs
	left, right int     // bounds, right and bottom beyond
	top, bottom int
}

// A run is a stretch of flat pixels in one row: x from x0 to before x1.
type run struct{ y, x0, x1, root int32 }

// A flatMap is the flat areas of a level.
type flatMap struct {
	level *level
	blobs []blob
	runs  []run   // sorted by blob
	rim   float64 // by how much an area's flat part falls short of its width, both rims
}

// flatMapOf returns the connected areas of pixels that a mask marks with all of bits, those of at
// least leastArea pixels. Narrowed by one, an area also loses every pixel next to one not marked,
// so that it doesn't run out through a gap in a faint edge.
func flatMapOf(m *flatMask, bits uint8, leastArea, narrowed int) *flatMap {
	runs := m.runs(bits, narrowed)
	joinRows(runs)
	f := gather(m.level, runs, leastArea)
	f.rim = flatRim + 2*float64(narrowed)
	return f
}

// joinRows gives runs that touch one above the other the same root.
func joinRows(runs []run) {
	above := 0 // first run of the row above that may still touch
	for i := range runs {
		r := &runs[i]
		for above < i && (runs[above].y < r.y-1 || runs[above].y == r.y-1 && runs[above].x1 <= r.x0) {
			above++
		}
		for j := above; j < i && runs[j].y == r.y-1 && runs[j].x0 < r.x1; j++ {
			unite(runs, int32(i), int32(j))
		}
	}
}

func rootOf(runs []run, i int32) int32 {
	for runs[i].root != i {
		runs[i].root = runs[runs[i].root].root
		i = runs[i].root
	}
	return i
}

func unite(runs []run, i, j int32) {
	a, b := rootOf(runs, i), rootOf(runs, j)
	runs[max(a, b)].root = min(a, b)
}

// gather sorts runs by blob, drops the small ones and sums up the rest.
func gather(l *level, runs []run, leastArea int) *flatMap {
	area := make([]int32, len(runs))
	count := make([]int32, len(runs))
	for i := range runs {
		root := rootOf(runs, int32(i))
		area[root] += runs[i].x1 - runs[i].x0
		count[root]++
	}
	m := &flatMap{level: l}
	place := make([]int32, len(runs)) // where the root's next run goes
	index := make([]int32, len(runs))
	total := int32(0)
	for i := range runs {
		index[i] = -1
		if runs[i].root == int32(i) && area[i] >= int32(leastArea) {
			index[i] = int32(len(m.blobs))
			place[i] = total
			total += count[i]
			m.blobs = append(m.blobs, blob{area: int(area[i]), first: int(place[i]), last: int(total)})
		}
	}
	m.runs = make([]run, total)
	for i := range runs {
		if root := rootOf(runs, int32(i)); index[root] >= 0 {
			m.runs[place[root]] = runs[i]
			place[root]++
		}
	}
	for i := range m.blobs {
		m.measure(&m.blobs[i])
	}
	return m
}

// measure fills in a blob from its runs.
func (m *flatMap) measure(b *blob) {
	l := m.level
	var sx, sy, sxx, syy, sxy float64
	var pixels, y, u, v int64
	// Of a large area some rows tell the mean signal well enough.
	every := int32(1 + b.area/manyPixels)
	b.left, b.top = l.w, l.h
	for _, r := range m.runs[b.first:b.last] {
		n := float64(r.x1 - r.x0)
		row := float64(r.y) + 0.5
		a, e := float64(r.x0), float64(r.x1)
		x1 := (a + e) / 2 * n
		sx += x1
		sy += n * row
		// the sum of (x+1/2)^2 over the run
		sxx += (e*e*e-a*a*a)/3 - n/12
		syy += n * row * row
		sxy += x1 * row
		from, to := int(r.y)*l.w+int(r.x0), int(r.y)*l.w+int(r.x1)
		if r.y%every == 0 || pixels == 0 {
			pixels += int64(r.x1 - r.x0)
			y += sum(l.y[from:to])
			u += sum(l.u[from:to])
			v += sum(l.v[from:to])
		}
		b.left, b.right = min(b.left, int(r.x0)), max(b.right, int(r.x1))
		b.top, b.bottom = min(b.top, int(r.y)), max(b.bottom, int(r.y)+1)
	}
	n := float64(b.area)
	b.centre = geometry.Pt(sx/n, sy/n)
	b.xx, b.yy = sxx/n-b.centre.X*b.centre.X, syy/n-b.centre.Y*b.centre.Y
	b.xy = sxy/n - b.centre.X*b.centre.Y
	k := 1 / float64(pixels)
	b.y, b.u, b.v = float64(y)*k, float64(u)*k, float64(v)*k
}

// manyPixels of an area are read for its mean signal, or not many more.
const manyPixels = 4000

func sum(s []int16) (t int64) {
	for _, v := range s {
		t += int64(v)
	}
	return t
}

// squareness compares the area with the one a parallelogram of the same moments would have: 1
// for any parallelogram, 1.05 for an ellipse, less for anything ragged.
func (b *blob) squareness() float64 {
	// A pixel's own extent is part of the second moments, so that one pixel is a square too.
	xx, yy := b.xx+1.0/12, b.yy+1.0/12
	return float64(b.area) / (12 * math.Sqrt(math.Max(xx*yy-b.xy*b.xy, 1e-9)))
}

// elongation returns the ratio of the long to the short axis of the moments.
func (b *blob) elongation() float64 {
	xx, yy := b.xx+1.0/12, b.yy+1.0/12
	mean, d := (xx+yy)/2, math.Hypot((xx-yy)/2, b.xy)
	return math.Sqrt((mean + d) / math.Max(mean-d, 1e-9))
}

// congruent reports whether two blobs are of one size, to a factor, and lie the same way: shape
// bounds the difference of their second moments as a share of a square's.
func (b *blob) congruent(o *blob, size, shape float64) bool {
	if float64(o.area) > size*float64(b.area) || float64(b.area) > size*float64(o.area) {
		return false
	}
	area := float64(b.area+o.area) / 2
	off := math.Max(math.Abs(b.xx-o.xx), math.Max(math.Abs(b.yy-o.yy), 2*math.Abs(b.xy-o.xy)))
	return off < shape*area/12
}
