package lattice

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/detect/pyramid"
	"stopledger/decode/geometry"
)

// chart returns components that lie as a chart's patches do, in random order, and the patch of each.
func chart(rng *rand.Rand, q geometry.Quad) (m *pyramid.Components, patches []int) {
	h := geometry.SquareTo(q)
	m = &pyramid.Components{Level: pyramid.New(400, 300, 2), Rim: 2.5}
	patches = rng.Perm(Columns * Rows)
	for _, n := range patches {
		u, v := (float64(n%Columns)+0.5)/Columns, (float64(n/Columns)+0.5)/Rows
		cell := h.Image(u-0.4/Columns, v-0.4/Rows, u+0.4/Columns, v+0.4/Rows)
		side := math.Sqrt(cell.Area()) - m.Rim
		m.List = append(m.List, pyramid.Component{Area: int(side * side), Centre: h.At(u, v),
			XX: side * side / 12, YY: side * side / 12})
	}
	return m, patches
}

// TestFind: a chart's patches make one lattice, and one of the ways to align the chart with it gives
// each component its own patch.
func TestFind(t *testing.T) {
	p := DefaultParams()
	rng := rand.New(rand.NewPCG(15, 15))
	for range 50 {
		q := geometry.Upright(80, 60, 240, 160)
		for i := range q {
			q[i] = q[i].Add(geometry.Pt(30*rng.Float64(), 30*rng.Float64()))
		}
		m, patches := chart(rng, q)
		lattices, aligned := 0, 0
		Find(m, Index(m, false, &p), &p, func(g *Lattice) {
			lattices++
			if len(g.Nodes) != len(patches) {
				t.Errorf("%v: %d nodes, want %d", q, len(g.Nodes), len(patches))
			}
			places := g.Sheared()
			for _, one := range Placings(places, &p) {
				if right(g, places[one.Shear], one, patches) == len(patches) {
					aligned++
				}
			}
		})
		if lattices != 1 || aligned != 1 {
			t.Errorf("%v: %d lattices, aligned rightly in %d ways, want one", q, lattices, aligned)
		}
	}
}

// right counts the nodes that a placing gives their own patch.
func right(g *Lattice, at []Place, one Placing, patches []int) (n int) {
	for k, node := range g.Nodes {
		if u, v, ok := one.Patch(at[k]); ok && v*Columns+u == patches[node.Component] {
			n++
		}
	}
	return n
}

// TestTally compares the summed-area table with plain counting.
func TestTally(t *testing.T) {
	rng := rand.New(rand.NewPCG(16, 16))
	for range 50 {
		var places []Place
		for range 1 + rng.IntN(30) {
			places = append(places, Place{rng.IntN(9) - 4, rng.IntN(7) - 3})
		}
		tally := newTally(places)
		tally.windows(Columns, Rows, func(i0, j0, got int) {
			want := 0
			for _, p := range places {
				if p.I >= i0 && p.I < i0+Columns && p.J >= j0 && p.J < j0+Rows {
					want++
				}
			}
			if got != want {
				t.Fatalf("%d nodes from %d, %d, want %d of %v", got, i0, j0, want, places)
			}
		})
	}
}
