package find

import (
	"math"
	"slices"
)

// A lattice is blobs that sit on a regular grid, perspective allowed. Places run from
// -latticeReach to latticeReach both ways, the first blob in the middle; the second axis turns
// clockwise from the first, so that a picture that is not mirrored gives a grid that is not.
type lattice struct {
	blob  [latticeSize][latticeSize]int32 // index, or noBlob
	nodes []node
	stamp []int32 // of each blob, the round in which it was last used
	round int32
}

type node struct {
	i, j int // 0 .. latticeSize-1
	blob int
	u, v Point // steps to the next nodes, as last seen nearby
}

const (
	latticeReach = 5 // a chart is six patches long, whichever of its blobs comes first
	latticeSize  = 2*latticeReach + 1
	noBlob       = -1
)

// Limits of what may be a patch, in pixels of a level, and of how patches lie. Ours.
const (
	leastPatchArea   = 3
	largestPatchSide = 36 // a finer level's large patch is a coarser one's small one
	leastSquareness  = 0.62
	mostElongation   = 3.2
	stepTolerance    = 0.3 // of the shorter step, for the next node
	sideTolerance    = 2   // ratio between neighbours
	flatRim          = 2.5 // what the flat part of a patch falls short of its side, both rims
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
	at   Point
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

func (x *blobIndex) cell(p Point) int {
	return min(max(int(p.Y)/indexCell, 0), x.h-1)*x.w + min(max(int(p.X)/indexCell, 0), x.w-1)
}

// rows returns the entries of the cells within radius of p, one slice for each row of cells.
func (x *blobIndex) rows(p Point, radius float64, visit func([]entry)) {
	x0, x1 := max(int(p.X-radius)/indexCell, 0), min(int(p.X+radius)/indexCell, x.w-1)
	y0, y1 := max(int(p.Y-radius)/indexCell, 0), min(int(p.Y+radius)/indexCell, x.h-1)
	for y := y0; y <= y1 && x0 <= x1; y++ {
		visit(x.order[x.first[y*x.w+x0]:x.first[y*x.w+x1+1]])
	}
}

// near calls visit for each kept blob within radius of p.
func (x *blobIndex) near(p Point, radius float64, visit func(i int, distance float64)) {
	x.rows(p, radius, func(row []entry) {
		for i := range row {
			if d := row[i].at.distance(p); d <= radius {
				visit(int(row[i].blob), d)
			}
		}
	})
}

// nearest returns the kept blob closest to p, of a size like that of a patch side, or noBlob.
func (x *blobIndex) nearest(p Point, radius, side float64) int {
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

// lattices returns the grids of at least leastNodes blobs, each blob tried as a start unless it
// is part of one already.
func lattices(x *blobIndex, leastNodes int, visit func(*lattice)) {
	g := lattice{stamp: make([]int32, len(x.blobs))}
	member := make([]bool, len(x.blobs))
	for _, start := range x.keep {
		if member[start] {
			continue
		}
		for _, s := range steps(x, int(start)) {
			g.grow(x, int(start), s[0], s[1])
			if len(g.nodes) < leastNodes {
				continue
			}
			for _, n := range g.nodes {
				member[n.blob] = true
			}
			visit(&g)
			break
		}
	}
}

// steps proposes pairs of steps from a blob to two of its neighbours, the likeliest first.
func steps(x *blobIndex, start int) (pairs [][2]Point) {
	const most = 6
	b := &x.blobs[start]
	type neighbour struct {
		step Point
		d    float64
	}
	var around []neighbour
	side := b.patchSide()
	x.near(b.centre, 2.2*side, func(i int, d float64) {
		if i != start && d > 0.5*side && likeSide(x.blobs[i].patchSide(), side) {
			around = append(around, neighbour{x.blobs[i].centre.sub(b.centre), d})
		}
	})
	slices.SortFunc(around, func(a, b neighbour) int { return compare(a.d, b.d) })
	around = around[:min(len(around), most)]
	for i, a := range around {
		for _, c := range around[i+1:] {
			sine := a.step.cross(c.step) / (a.d * c.d)
			if math.Abs(sine) < 0.6 || c.d > 2.2*a.d {
				continue
			}
			if sine > 0 {
				pairs = append(pairs, [2]Point{a.step, c.step})
			} else {
				pairs = append(pairs, [2]Point{c.step, a.step})
			}
		}
	}
	return pairs[:min(len(pairs), most)]
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// grow fills the lattice from a start and its two steps.
func (g *lattice) grow(x *blobIndex, start int, u, v Point) {
	for i := range g.blob {
		for j := range g.blob[i] {
			g.blob[i][j] = noBlob
		}
	}
	g.nodes = append(g.nodes[:0], node{latticeReach, latticeReach, start, u, v})
	g.blob[latticeReach][latticeReach] = int32(start)
	g.round++
	g.stamp[start] = g.round
	for at := 0; at < len(g.nodes); at++ {
		n := g.nodes[at]
		for _, d := range [4][2]int{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
			g.extend(x, n, d[0], d[1])
		}
		if at >= 3 && len(g.nodes) == at+1 {
			return // nothing more to grow from
		}
	}
}

// extend looks for the blob one step from a node.
func (g *lattice) extend(x *blobIndex, n node, di, dj int) {
	i, j := n.i+di, n.j+dj
	if i < 0 || j < 0 || i >= latticeSize || j >= latticeSize || g.blob[i][j] != noBlob {
		return
	}
	step := n.u.scale(float64(di)).add(n.v.scale(float64(dj)))
	from := x.blobs[n.blob].centre
	found := x.nearest(from.add(step), stepTolerance*math.Min(n.u.length(), n.v.length()), x.blobs[n.blob].patchSide())
	if found == noBlob {
		return
	}
	if g.stamp[found] == g.round {
		return
	}
	g.stamp[found] = g.round
	next := node{i, j, found, n.u, n.v}
	actual := x.blobs[found].centre.sub(from)
	// half of the news: a centre is only good to a part of a pixel
	if di != 0 {
		next.u = mix(n.u, actual.scale(float64(di)), 0.5)
	} else {
		next.v = mix(n.v, actual.scale(float64(dj)), 0.5)
	}
	g.blob[i][j] = int32(found)
	g.nodes = append(g.nodes, next)
}

// extent returns the first and last place used each way.
func (g *lattice) extent() (low, high [2]int) {
	low, high = [2]int{latticeSize, latticeSize}, [2]int{-1, -1}
	for _, n := range g.nodes {
		low = [2]int{min(low[0], n.i), min(low[1], n.j)}
		high = [2]int{max(high[0], n.i), max(high[1], n.j)}
	}
	return low, high
}
