package detect

import (
	"math"
	"slices"

	"stopledger/decode/geometry"
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
	u, v geometry.Point // steps to the next nodes, as last seen nearby
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
	stepTolerance    = 0.25 // of the shorter step, for the next node
	sideTolerance    = 2    // ratio between neighbours
	flatRim          = 2.5  // what the flat part of a patch falls short of its side, both rims
)

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
func steps(x *blobIndex, start int) (pairs [][2]geometry.Point) {
	const most = 6
	b := &x.blobs[start]
	type neighbour struct {
		step geometry.Point
		d    float64
	}
	var around []neighbour
	side := b.patchSide()
	x.near(b.centre, 2.2*side, func(i int, d float64) {
		if i != start && d > 0.5*side && likeSide(x.blobs[i].patchSide(), side) {
			around = append(around, neighbour{x.blobs[i].centre.Sub(b.centre), d})
		}
	})
	slices.SortFunc(around, func(a, b neighbour) int { return compare(a.d, b.d) })
	around = around[:min(len(around), most)]
	for i, a := range around {
		for _, c := range around[i+1:] {
			sine := a.step.Cross(c.step) / (a.d * c.d)
			if math.Abs(sine) < 0.6 || c.d > 2.2*a.d {
				continue
			}
			if sine > 0 {
				pairs = append(pairs, [2]geometry.Point{a.step, c.step})
			} else {
				pairs = append(pairs, [2]geometry.Point{c.step, a.step})
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
func (g *lattice) grow(x *blobIndex, start int, u, v geometry.Point) {
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
	step := n.u.Scale(float64(di)).Add(n.v.Scale(float64(dj)))
	from := x.blobs[n.blob].centre
	found := x.nearest(from.Add(step), stepTolerance*math.Min(n.u.Length(), n.v.Length()), x.blobs[n.blob].patchSide())
	if found == noBlob {
		return
	}
	if g.stamp[found] == g.round {
		return
	}
	g.stamp[found] = g.round
	next := node{i, j, found, n.u, n.v}
	actual := x.blobs[found].centre.Sub(from)
	// half of the news: a centre is only good to a part of a pixel
	if di != 0 {
		next.u = geometry.Mix(n.u, actual.Scale(float64(di)), 0.5)
	} else {
		next.v = geometry.Mix(n.v, actual.Scale(float64(dj)), 0.5)
	}
	g.blob[i][j] = int32(found)
	g.nodes = append(g.nodes, next)
}
