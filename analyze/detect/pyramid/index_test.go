package pyramid

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"stopledger/decode/geometry"
)

// scattered is components at random places, some on the rim and beyond it, and an index of the larger ones.
func scattered(rng *rand.Rand, n int) (*Components, *Index) {
	m := &Components{Level: New(100, 70, 2), Rim: 2.5}
	for range n {
		m.List = append(m.List, Component{Area: 1 + rng.IntN(200),
			Centre: geometry.Pt(110*rng.Float64()-5, 80*rng.Float64()-5)})
	}
	return m, IndexOf(m, 1.7, func(b *Component) bool { return b.Area > 20 })
}

// TestIndexAgainstAll compares both searches with going through all components.
func TestIndexAgainstAll(t *testing.T) {
	rng := rand.New(rand.NewPCG(22, 1))
	for range 300 {
		m, x := scattered(rng, rng.IntN(60))
		p := geometry.Pt(120*rng.Float64()-10, 90*rng.Float64()-10)
		radius, side := 30*rng.Float64(), 2+14*rng.Float64()
		var want, got []int
		nearest, least := None, radius
		for i := range m.List {
			b := &m.List[i]
			d := b.Centre.Distance(p)
			if b.Area <= 20 || d > radius {
				continue
			}
			want = append(want, i)
			if own := math.Sqrt(float64(b.Area)) + m.Rim; d <= least && own < 1.7*side && side < 1.7*own {
				nearest, least = i, d
			}
		}
		x.Near(p, radius, func(i int, d float64) {
			got = append(got, i)
			if math.Abs(d-m.List[i].Centre.Distance(p)) > 1e-12 {
				t.Errorf("component %d at distance %g", i, d)
			}
		})
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Fatalf("near %v within %.1f: %v, want %v", p, radius, got, want)
		}
		if one := x.Nearest(p, radius, side); one != nearest {
			t.Fatalf("nearest to %v within %.1f: %d, want %d", p, radius, one, nearest)
		}
	}
}

// TestIndexKeeps: the index lists what it was told to keep, in order.
func TestIndexKeeps(t *testing.T) {
	m, x := scattered(rand.New(rand.NewPCG(22, 2)), 80)
	kept := 0
	for i := range m.List {
		if m.List[i].Area > 20 {
			if x.Kept[kept] != int32(i) {
				t.Fatalf("kept %v", x.Kept)
			}
			kept++
		}
	}
	if kept != len(x.Kept) {
		t.Errorf("%d kept, want %d", len(x.Kept), kept)
	}
}

// TestLike: alike is alike both ways, and means within the ratio.
func TestLike(t *testing.T) {
	_, x := scattered(rand.New(rand.NewPCG(22, 3)), 5)
	for _, c := range []struct {
		a, b float64
		want bool
	}{{10, 10, true}, {10, 16.9, true}, {10, 17.1, false}, {1, 0.5, false}} {
		if x.Like(c.a, c.b) != c.want || x.Like(c.b, c.a) != c.want {
			t.Errorf("%g and %g: want %v", c.a, c.b, c.want)
		}
	}
}
