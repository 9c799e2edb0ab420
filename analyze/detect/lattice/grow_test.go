package lattice

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/detect/pyramid"
	"stopledger/decode/geometry"
)

// stray stands for the patch of a component that is none.
const stray = -1

// posed is a quad of about a chart's proportions, turned and seen from the side.
func posed(rng *rand.Rand, lean float64) geometry.Quad {
	q := geometry.Quad{{X: -72, Y: -48}, {X: 72, Y: -48}, {X: 72, Y: 48}, {X: -72, Y: 48}}
	sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
	axis := 2 * math.Pi * rng.Float64()
	for i, p := range q {
		depth := 1 + lean*(p.X*math.Cos(axis)+p.Y*math.Sin(axis))/87 // a pinhole camera, the far side smaller
		q[i] = geometry.Pt(cos*p.X-sin*p.Y, sin*p.X+cos*p.Y).Scale(1 / depth).Add(geometry.Pt(200, 150))
	}
	return q
}

// thinned leaves out some patches of a chart and adds strays: small ones among the patches, and like ones beyond.
func thinned(rng *rand.Rand, q geometry.Quad, missing, strays int) (m *pyramid.Components, patches []int) {
	m, patches = chart(rng, q)
	m.List, patches = m.List[missing:], patches[missing:]
	for k := range strays {
		c := pyramid.Component{Area: 300, Centre: q[k%4].Add(q[k%4].Sub(q.Centre()).Scale(0.9 + rng.Float64()))}
		if k%2 == 0 {
			c = pyramid.Component{Area: 6, Centre: geometry.Pt(400*rng.Float64(), 300*rng.Float64())}
		}
		c.XX, c.YY = float64(c.Area)/12, float64(c.Area)/12
		m.List, patches = append(m.List, c), append(patches, stray)
	}
	return m, patches
}

// TestGrowthOnPerspectiveGrids: with patches missing and strays around, the nodes of a lattice lie at the places that
// the known homography gives them: one placing tells every node its own patch.
func TestGrowthOnPerspectiveGrids(t *testing.T) {
	p := DefaultParams()
	rng := rand.New(rand.NewPCG(31, 1))
	for _, c := range []struct {
		lean            float64
		missing, strays int
		least           int // of 40 charts, told wholly
	}{
		{0, 0, 0, 40}, {0, 4, 8, 38}, {0.15, 0, 8, 38}, {0.15, 4, 8, 37}, {0.25, 6, 4, 26}, {0.3, 0, 0, 22},
	} {
		t.Run(fmt.Sprintf("leaning %g, %d missing, %d strays", c.lean, c.missing, c.strays), func(t *testing.T) {
			told := 0
			for range 40 {
				m, patches := thinned(rng, posed(rng, c.lean), c.missing, c.strays)
				if toldWholly(m, patches, Columns*Rows-c.missing, &p) {
					told++
				}
			}
			if told < c.least {
				t.Errorf("%d of 40 charts told, want %d or more", told, c.least)
			}
		})
	}
}

// toldWholly reports whether some lattice, by some placing, gives its patches their own places, all that hang
// together: two of a chart's may be cut off where their neighbours are missing.
func toldWholly(m *pyramid.Components, patches []int, all int, p *Params) (told bool) {
	Find(m, Index(m, false, p), p, func(g *Lattice) {
		n := 0
		for _, node := range g.Nodes {
			if patches[node.Component] != stray {
				n++
			}
		}
		places := g.Sheared()
		for _, one := range Placings(places, p) {
			told = told || n >= all-2 && right(g, places[one.Shear], one, patches) == n
		}
	})
	return told
}

// TestMirrored: a chart seen in a mirror has a lattice, but no way to lay a chart on it gives each its patch.
func TestMirrored(t *testing.T) {
	p := DefaultParams()
	rng := rand.New(rand.NewPCG(31, 2))
	for range 20 {
		q := posed(rng, 0.1)
		q[0], q[1], q[2], q[3] = q[1], q[0], q[3], q[2]
		h := geometry.SquareTo(q)
		m := &pyramid.Components{Level: pyramid.New(400, 300, 2), Rim: 2.5}
		var patches []int
		for n := range Columns * Rows {
			c := pyramid.Component{Area: 300, Centre: h.At((float64(n%Columns)+0.5)/Columns, (float64(n/Columns)+0.5)/Rows)}
			c.XX, c.YY = 300.0/12, 300.0/12
			m.List, patches = append(m.List, c), append(patches, n)
		}
		lattices := 0
		Find(m, Index(m, false, &p), &p, func(g *Lattice) {
			lattices++
			places := g.Sheared()
			for _, one := range Placings(places, &p) {
				if n := right(g, places[one.Shear], one, patches); n > len(patches)/2 {
					t.Errorf("%d of a mirrored chart's patches in their places", n)
				}
			}
		})
		if lattices == 0 {
			t.Error("no lattice")
		}
	}
}

// TestNoLattice: too few patches, or places without order, make none.
func TestNoLattice(t *testing.T) {
	p := DefaultParams()
	rng := rand.New(rand.NewPCG(31, 3))
	few, _ := thinned(rng, posed(rng, 0), Columns*Rows-p.LeastNodes+1, 0)
	crooked, invented := 0, 0
	count := func(into *int) func(*Lattice) { return func(*Lattice) { *into++ } }
	Find(few, Index(few, false, &p), &p, count(&crooked))
	if crooked > 0 {
		t.Errorf("%d patches make a lattice", p.LeastNodes-1)
	}
	for range 30 {
		m := &pyramid.Components{Level: pyramid.New(400, 300, 2), Rim: 2.5}
		for range 24 {
			m.List = append(m.List, pyramid.Component{Area: 400, XX: 400.0 / 12, YY: 400.0 / 12,
				Centre: geometry.Pt(400*rng.Float64(), 300*rng.Float64())})
		}
		Find(m, Index(m, false, &p), &p, count(&invented))
	}
	if invented > 1 {
		t.Errorf("%d lattices among 30 times 24 random places", invented)
	}
}

// TestIndexKeepsPatches: what is neither ragged nor long nor, but on the coarsest level, large.
func TestIndexKeepsPatches(t *testing.T) {
	p := DefaultParams()
	side := p.LargestSide
	rect := func(w, h float64) pyramid.Component {
		return pyramid.Component{Area: int(w * h), XX: w * w / 12, YY: h * h / 12}
	}
	ring := pyramid.Component{Area: 200, XX: 200, YY: 200} // its mass far out
	m := &pyramid.Components{Level: pyramid.New(100, 100, 2), List: []pyramid.Component{
		rect(10, 10), rect(20, 10), rect(40, 10), ring, rect(float64(side), float64(side)), rect(60, 60)}}
	for coarsest, want := range map[bool][]int32{false: {0, 1, 4}, true: {0, 1, 4, 5}} {
		if got := Index(m, coarsest, &p).Kept; fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("coarsest %v: %v, want %v", coarsest, got, want)
		}
	}
}

// TestSteps: the pairs of steps that are tried turn clockwise, are not much unlike and not nearly parallel; the
// shortest come first.
func TestSteps(t *testing.T) {
	p := DefaultParams()
	rng := rand.New(rand.NewPCG(31, 4))
	for range 20 {
		m, _ := chart(rng, posed(rng, 0.1))
		s := seeker{Components: m, index: Index(m, false, &p), p: &p}
		for start := range m.List {
			pairs := s.steps(start)
			if len(pairs) == 0 || len(pairs) > p.MostSteps {
				t.Fatalf("%d pairs", len(pairs))
			}
			for _, one := range pairs {
				a, b := one[0].Length(), one[1].Length()
				if one[0].Cross(one[1]) < p.LeastSine*a*b || max(a, b) > p.StepRatio*min(a, b) {
					t.Errorf("steps %v", one)
				}
			}
			around := s.around(start)
			for i := 1; i < len(around); i++ {
				if around[i].d < around[i-1].d {
					t.Fatalf("neighbours %v are not in order", around)
				}
			}
		}
	}
}
