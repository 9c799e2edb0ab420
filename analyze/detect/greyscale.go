package detect

import (
	"math"

	"stopledger/analyze/detect/pyramid"
	"stopledger/decode/geometry"
)

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
