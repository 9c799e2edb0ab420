// Package lattice finds connected components that sit on a regular grid, perspective allowed, and the
// ways to align a chart of six by four patches with such a lattice.
package lattice

import (
	"cmp"
	"math"
	"slices"

	"stopledger/analyze/detect/pyramid"
	"stopledger/decode/geometry"
)

// A Lattice is components that sit on a regular grid. Places run from -reach to reach both ways, the
// first component in the middle; the second axis turns clockwise from the first, so that a picture
// that is not mirrored gives a grid that is not.
type Lattice struct {
	Nodes []Node            // in the order in which they were reached
	at    [size][size]int32 // index, or pyramid.None
	stamp []int32           // of each component, the round in which it was last used
	round int32
}

// A Node is one place of a lattice.
type Node struct {
	I, J      int            // along the first and the second axis, from 0
	Component int            // there
	u, v      geometry.Point // steps to the next nodes, as last seen nearby
}

// Index returns an index of the components that may be patches. On the coarsest level they may be as
// large as they are.
func Index(m *pyramid.Components, coarsest bool, p *Params) *pyramid.Index {
	return pyramid.IndexOf(m, p.SideTolerance, func(b *pyramid.Component) bool {
		return (coarsest || b.Area <= p.LargestSide*p.LargestSide) &&
			b.Squareness() >= p.LeastSquareness && b.Elongation() <= p.MostElongation
	})
}

// Find calls visit for the lattices of at least LeastNodes components, each component tried as a start
// unless it is part of one already: region growing from two steps at a time. A lattice holds until
// visit returns.
func Find(m *pyramid.Components, x *pyramid.Index, p *Params, visit func(*Lattice)) {
	s := seeker{Components: m, index: x, p: p}
	g := Lattice{stamp: make([]int32, len(x.Components))}
	member := make([]bool, len(x.Components))
	for _, start := range x.Kept {
		if member[start] {
			continue
		}
		for _, steps := range s.steps(int(start)) {
			s.grow(&g, int(start), steps[0], steps[1])
			if len(g.Nodes) < p.LeastNodes {
				continue
			}
			for _, n := range g.Nodes {
				member[n.Component] = true
			}
			visit(&g)
			break
		}
	}
}

// A seeker grows lattices from the components of one level.
type seeker struct {
	*pyramid.Components
	index *pyramid.Index
	p     *Params
}

// A neighbour is the way from one component to another.
type neighbour struct {
	step geometry.Point
	d    float64 // its length
}

// steps proposes pairs of steps from a component to two of its neighbours, the likeliest first.
func (s *seeker) steps(start int) (pairs [][2]geometry.Point) {
	around := s.around(start)
	for i, a := range around {
		for _, c := range around[i+1:] {
			sine := a.step.Cross(c.step) / (a.d * c.d)
			if math.Abs(sine) < s.p.LeastSine || c.d > s.p.StepRatio*a.d {
				continue
			}
			if sine > 0 {
				pairs = append(pairs, [2]geometry.Point{a.step, c.step})
			} else {
				pairs = append(pairs, [2]geometry.Point{c.step, a.step})
			}
		}
	}
	return pairs[:min(len(pairs), s.p.MostSteps)]
}

// around returns the neighbours of a component that are like it, the nearest first.
func (s *seeker) around(start int) (all []neighbour) {
	b := &s.List[start]
	side := s.Side(b)
	s.index.Near(b.Centre, s.p.Reach*side, func(i int, d float64) {
		if i != start && d > s.p.Clear*side && s.index.Like(s.Side(&s.List[i]), side) {
			all = append(all, neighbour{s.List[i].Centre.Sub(b.Centre), d})
		}
	})
	slices.SortFunc(all, func(a, b neighbour) int { return cmp.Compare(a.d, b.d) })
	return all[:min(len(all), s.p.MostSteps)]
}

// grow fills a lattice from a start and its two steps.
func (s *seeker) grow(g *Lattice, start int, u, v geometry.Point) {
	for i := range g.at {
		for j := range g.at[i] {
			g.at[i][j] = pyramid.None
		}
	}
	g.Nodes = append(g.Nodes[:0], Node{reach, reach, start, u, v})
	g.at[reach][reach] = int32(start)
	g.round++
	g.stamp[start] = g.round
	for at := 0; at < len(g.Nodes); at++ {
		n := g.Nodes[at]
		for _, d := range [4][2]int{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
			s.extend(g, n, d[0], d[1])
		}
		if at >= 3 && len(g.Nodes) == at+1 {
			return // nothing more to grow from
		}
	}
}

// extend looks for the component one step from a node.
func (s *seeker) extend(g *Lattice, n Node, di, dj int) {
	i, j := n.I+di, n.J+dj
	if i < 0 || j < 0 || i >= size || j >= size || g.at[i][j] != pyramid.None {
		return
	}
	step := n.u.Scale(float64(di)).Add(n.v.Scale(float64(dj)))
	here := &s.List[n.Component]
	radius := s.p.StepTolerance * math.Min(n.u.Length(), n.v.Length())
	found := s.index.Nearest(here.Centre.Add(step), radius, s.Side(here))
	if found == pyramid.None || g.stamp[found] == g.round {
		return
	}
	g.stamp[found] = g.round
	next := Node{i, j, found, n.u, n.v}
	actual := s.List[found].Centre.Sub(here.Centre)
	if di != 0 {
		next.u = geometry.Mix(n.u, actual.Scale(float64(di)), s.p.News)
	} else {
		next.v = geometry.Mix(n.v, actual.Scale(float64(dj)), s.p.News)
	}
	g.at[i][j] = int32(found)
	g.Nodes = append(g.Nodes, next)
}
