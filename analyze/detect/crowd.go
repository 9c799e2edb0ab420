package detect

import (
	"math"

	"stopledger/analyze/detect/pyramid"
	"stopledger/decode/geometry"
)

// A crowd is the other flat areas around a would-be card.
type crowd struct {
	near    int // close by, of its size and shape: the next tile, key, patch
	twins   int // in all the frame, of nearly its very size and shape
	company int // close by, compact and of about its size
	walled  int // compact ones, down to a part of its size, in the quarter around it that has fewest
}

// crowdOf counts the components of a level around a quad.
func crowdOf(m *pyramid.Components, q geometry.Quad, p *Params) (c crowd) {
	t := &p.Crowd
	b, side := partIn(m, q, p), math.Sqrt(q.Area())
	var quarters [4]int
	for i := range m.List {
		o := &m.List[i]
		off := o.Centre.Sub(b.Centre)
		d := off.Length()
		if d < side/t.Itself {
			continue
		}
		if o.Congruent(&b, t.TwinSize, t.TwinShape) {
			c.twins++
		}
		if d > t.Near*side {
			continue
		}
		if o.Congruent(&b, t.NearSize, t.NearShape) {
			c.near++
		}
		if o.Squareness() < t.Compact {
			continue
		}
		if o.Congruent(&b, t.CompanySize, t.CompanyShape) {
			c.company++
		}
		if t.WallLeast*float64(o.Area) > float64(b.Area) && float64(o.Area) < t.WallMost*float64(b.Area) {
			quarters[quarterOf(off)]++
		}
	}
	c.walled = min(quarters[0], quarters[1], quarters[2], quarters[3])
	return c
}

// partIn returns the component that a quad is about, or what it would be: to be set beside its
// neighbours, which are components too. One of the quad's sides may lie off.
func partIn(m *pyramid.Components, q geometry.Quad, p *Params) pyramid.Component {
	part, side := flatPart(q, m.Rim), math.Sqrt(q.Area())
	t := &p.Crowd
	for i := range m.List {
		b := &m.List[i]
		if b.Centre.Distance(part.Centre) < t.OwnPlace*side && b.Squareness() > p.Lattice.LeastSquareness &&
			t.OwnArea*float64(b.Area) > float64(part.Area) && float64(b.Area) < t.OwnArea*float64(part.Area) {
			return *b
		}
	}
	return part
}

// quarterOf is 0 to 3 for the signs of a direction.
func quarterOf(d geometry.Point) (q int) {
	if d.X > 0 {
		q = 1
	}
	if d.Y > 0 {
		q += 2
	}
	return q
}

// flatPart returns the component that a quad would be, drawn in by a rim, as if a parallelogram.
func flatPart(q geometry.Quad, rim float64) pyramid.Component {
	a := q[1].Sub(q[0]).Add(q[2].Sub(q[3])).Scale(0.5)
	b := q[3].Sub(q[0]).Add(q[2].Sub(q[1])).Scale(0.5)
	a = a.Scale(math.Max(1-rim/a.Length(), 0.1))
	b = b.Scale(math.Max(1-rim/b.Length(), 0.1))
	return pyramid.Component{Area: int(math.Max(a.Cross(b), 1)), Centre: q.Centre(),
		XX: (a.X*a.X + b.X*b.X) / 12, YY: (a.Y*a.Y + b.Y*b.Y) / 12, XY: (a.X*a.Y + b.X*b.Y) / 12}
}

// around returns the area near a quad, but not in it, that has a component's tone to within a little, as
// a share of the quad's area, as the level for that shows it. The quad is in frame pixels.
func (s *scan) around(q geometry.Quad, b *pyramid.Component) float64 {
	p := &s.p.Card
	l := s.levels[min(p.AroundLevel, len(s.levels)-1)]
	q = q.Times(1 / l.Scale)
	off := math.Max(p.AroundStops/s.tones.Slope(b.Y), s.p.Flat.LeastSteep)
	alike := func(k int) bool {
		return math.Abs(float64(l.Y[k])-b.Y) < off && math.Abs(float64(l.U[k])-b.U) < off &&
			math.Abs(float64(l.V[k])-b.V) < off
	}
	near, rim := q.Shrink(p.AroundReach).Bounds(), q.Grow(p.AroundRim)
	n := 0
	for y := max(near.Min.Y, 0); y < min(near.Max.Y, l.H); y++ {
		for x := max(near.Min.X, 0); x < min(near.Max.X, l.W); x++ {
			if alike(y*l.W+x) && !rim.Contains(geometry.Pt(float64(x)+0.5, float64(y)+0.5)) {
				n++
			}
		}
	}
	return float64(n) / q.Area()
}

// brighterShare returns the share of the frame that is at least so many stops over a code of luma.
func (s *scan) brighterShare(luma, stops float64) float64 {
	limit := s.tones.At(luma) + stops
	l := s.coarsest()
	n := 0
	for _, v := range l.Y {
		if v > 0 && float64(s.tones.Stops[min(int(v), len(s.tones.Stops)-1)]) > limit {
			n++
		}
	}
	return float64(n) / float64(len(l.Y))
}

// inGreyscale reports whether a quad is one step of a greyscale, as any level shows it.
func (s *scan) inGreyscale(q geometry.Quad) bool {
	t := &s.p.Crowd
	for _, m := range s.tiles {
		quad := q.Times(1 / m.Level.Scale)
		inner := quad.Shrink(t.StepInside)
		for i := range m.List {
			b := &m.List[i]
			if float64(b.Area) > t.StepShare*quad.Area() && inner.Contains(b.Centre) && t.stepped(m, b) {
				return true
			}
		}
	}
	return false
}

// stepped reports whether a component is one of a row of three of its size, as far apart, whose
// levels rise or fall from one to the next.
func (t *CrowdParams) stepped(m *pyramid.Components, b *pyramid.Component) bool {
	side := math.Sqrt(float64(b.Area))
	var like []*pyramid.Component
	for i := range m.List {
		o := &m.List[i]
		d := o.Centre.Distance(b.Centre)
		if d > side/t.Itself && d < 2*t.StepReach*side && o.Congruent(b, t.NearSize, t.NearShape) {
			like = append(like, o)
		}
	}
	for _, next := range like {
		step := next.Centre.Sub(b.Centre)
		if step.Length() > t.StepReach*side {
			continue
		}
		// The third lies beyond the next, or on the other side.
		for _, third := range like {
			beyond := third.Centre.Distance(next.Centre.Add(step)) < t.StepOff*side && t.rises(b, next, third)
			before := third.Centre.Distance(b.Centre.Sub(step)) < t.StepOff*side && t.rises(third, b, next)
			if beyond || before {
				return true
			}
		}
	}
	return false
}

// rises reports whether the levels of three components rise, or fall, from one to the next.
func (t *CrowdParams) rises(a, b, c *pyramid.Component) bool {
	first, second := b.Y-a.Y, c.Y-b.Y
	return first*second > 0 && math.Min(math.Abs(first), math.Abs(second)) >= t.StepCode
}
