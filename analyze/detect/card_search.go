package detect

import (
	"math"

	"stopledger/analyze/detect/pyramid"
	"stopledger/decode/geometry"
)

// A proposal is a component whose outline four sides enclose, before a closer look.
type proposal struct {
	quad    geometry.Quad // level pixels
	filled  float64       // share of the quad that is the component
	outline float64       // share of the enclosing quad that is the component's convex hull
	mean    pyramid.Component
	level   *pyramid.Level
	tiles   *pyramid.Components // of the same level, not narrowed: where like things would show
	noise   float64             // of the level's luma there, codes
}

// leastSide returns the shortest side of a card in a level's pixels.
func (p *CardParams) leastSide(l *pyramid.Level) float64 {
	return math.Max(p.LeastShare*float64(l.W), p.LeastPx)
}

// proposals returns the components that a card could be.
func (s *scan) proposals(m *pyramid.Components, f *flat) (found []proposal) {
	for i := range m.List {
		b := &m.List[i]
		if !s.cardLike(m, b) {
			continue
		}
		hull := m.Hull(b)
		for _, q := range geometry.EnclosingQuads(hull) {
			if p, ok := s.p.Card.proposal(m, b, q, geometry.PolygonArea(hull)/q.Area()); ok {
				p.tiles, p.noise = f.tiles, float64(f.noise.Luma[pyramid.Bin(int16(b.Y))])/math.Sqrt2
				found = append(found, p)
			}
		}
	}
	return found
}

// cardLike reports whether a component could be a card by its area, its moments and its colour.
func (s *scan) cardLike(m *pyramid.Components, b *pyramid.Component) bool {
	p, l := &s.p.Card, m.Level
	least := p.LeastFilled * sq(p.leastSide(l)-m.Rim)
	if float64(b.Area) < least || float64(b.Area) > p.MostShare*float64(l.W*l.H) {
		return false
	}
	return b.Elongation() <= p.MostAspect && b.Squareness() >= p.LeastSquareness &&
		s.p.Worth.neutral(s.tones.Tone(b.Y, b.U, b.V, s.matrix), s.cast) != 0
}

// proposal judges one quad around a component whose hull has a share of it.
func (p *CardParams) proposal(m *pyramid.Components, b *pyramid.Component, q geometry.Quad, outline float64) (
	one proposal, ok bool) {
	if outline < p.LeastOutline || !p.shaped(q) || shortSide(q) < p.leastSide(m.Level)-m.Rim {
		return one, false
	}
	// the component ends short of the sides it is enclosed by
	q = q.Grow(m.Rim / 2)
	rim := m.Rim / 2 * (q.Side(0) + q.Side(1) + q.Side(2) + q.Side(3))
	filled := float64(b.Area) / math.Max(q.Area()-rim, 1)
	return proposal{quad: q, filled: filled, outline: outline, mean: *b, level: m.Level}, filled >= p.LeastFilled
}

// shaped reports whether a rectangle seen by a camera could look like the quad.
func (p *CardParams) shaped(q geometry.Quad) bool {
	for i := range q {
		a, b := q[i].Sub(q[(i+3)%4]), q[(i+1)%4].Sub(q[i])
		if a.Cross(b) < p.LeastSine*a.Length()*b.Length() {
			return false
		}
	}
	ratio := func(a, b float64) float64 { return math.Max(a/b, b/a) }
	return ratio(q.Side(0), q.Side(2)) < p.MostOpposite && ratio(q.Side(1), q.Side(3)) < p.MostOpposite &&
		ratio(q.Side(0)+q.Side(2), q.Side(1)+q.Side(3)) < p.MostAspect
}

// alike reports whether two quads lie in one place and are of one size.
func (p *CardParams) alike(a, b geometry.Quad) bool {
	areas := a.Area() / b.Area()
	apart := a.Centre().Distance(b.Centre())
	return areas > 1/p.SameArea && areas < p.SameArea && apart < p.SamePlace*math.Sqrt(a.Area())
}
