package detect

import (
	"math"

	"stopledger/analyze/detect/pyramid"
	"stopledger/analyze/robust"
	"stopledger/decode/geometry"
)

// A tracing is the sides of a proposal as one level shows them.
type tracing struct {
	level       *pyramid.Level
	quad        geometry.Quad // level pixels
	sides       [4]side
	step        float64 // least that counted, codes
	seen, sharp float64 // mean and median of the sides'
}

// trace looks for the sides on the finest level first; a card out of focus, or in much noise,
// shows them on a coarser one.
func (s *scan) trace(p *proposal) (best tracing, ok bool) {
	e := &s.p.Edge
	for i, l := range s.levels {
		q := p.quad.Times(p.level.Scale / l.Scale)
		if i > 0 && (l.Scale > p.level.Scale || shortSide(q) < e.SmallestTraced) {
			break
		}
		steep := float64(s.limits[i].Luma[pyramid.Bin(int16(p.mean.Y))])
		t := tracing{level: l, step: math.Max(steep*e.Averaged, e.StepFloor*s.p.Flat.LeastSteep)}
		var found bool
		t.quad, t.sides, found = edgeSearch{l, e}.sides(q, t.step)
		t.sharp = robust.Median([]float64{t.sides[0].sharp, t.sides[1].sharp, t.sides[2].sharp, t.sides[3].sharp})
		for _, one := range t.sides {
			t.seen += one.seen / 4
		}
		if found && (!ok || t.seen > best.seen) {
			best, ok = t, true
		}
		if ok && best.seen >= e.SeenEnough && best.sharp >= e.SharpEnough {
			break
		}
	}
	return best, ok
}

// view looks closely at a proposal; ok is false where its shape does not reach what is told, as soon as
// that is known.
func (s *scan) view(p *proposal) (v cardView, ok bool) {
	w, least := &s.p.Worth, s.p.Worth.least(s.opt.Doubtful)
	around := func(q geometry.Quad) crowd { return crowdOf(p.tiles, q.Times(1/p.tiles.Level.Scale), s.p) }
	if w.Shape*w.outline(p.filled, p.outline) < least || w.sparse(around(p.quad.Times(p.level.Scale))) == 0 {
		return v, false
	}
	t, ok := s.trace(p)
	l, q := t.level, t.quad
	if !ok || !s.p.Card.shaped(q) || !q.Within(l.W, l.H) || shortSide(q) < s.p.Card.leastSide(l) {
		return v, false
	}
	v = cardView{quad: q.Times(l.Scale), share: q.Area() / float64(l.W*l.H), filled: p.filled, outline: p.outline,
		sides: t.seen, sharp: t.sharp}
	for _, e := range t.sides {
		if e.seen >= s.p.Edge.WellSeen {
			v.strong++
		}
	}
	v.crowd = around(v.quad)
	v.corners = len(q) // what is not known yet speaks for a card
	if w.shape(&v) < least {
		return v, false
	}
	edges := edgeSearch{l, &s.p.Edge}
	v.carried = edges.carried(q, t.sides, t.step)
	v.around = s.around(v.quad, &p.mean)
	if w.shape(&v) < least {
		return v, false
	}
	plane := s.unevenness(&v, p)
	v.corners = edges.filledCorners(&p.mean, q, t.step, plane.Times(l.Scale/p.level.Scale))
	return v, w.shape(&v) >= least
}

// unevenness fits a plane of light to the inside of a card and measures what is left, robustly:
// fingers lie inside the quad too. It returns the plane, in pixels of the proposal's level.
func (s *scan) unevenness(v *cardView, p *proposal) pyramid.Plane {
	l, t := p.level, &s.p.Card
	q := v.quad.Times(1 / l.Scale)
	inner := q.Shrink(t.EvenInside)
	b := inner.Bounds()
	step := max(1, int(math.Sqrt(inner.Area()/t.EvenPixels)))
	var x, y, z []float64
	for j := b.Min.Y; j < b.Max.Y; j += step {
		for i := b.Min.X; i < b.Max.X; i += step {
			if inner.Contains(geometry.Pt(float64(i)+0.5, float64(j)+0.5)) {
				x, y = append(x, float64(i)+0.5), append(y, float64(j)+0.5)
				z = append(z, float64(l.Y[j*l.W+i]))
			}
		}
	}
	light, left := pyramid.FitPlane(x, y, z, t.EvenRounds, t.EvenSigmas)
	v.rough = left / math.Max(p.noise, t.LeastNoise*s.p.Flat.LeastSteep)
	stops := s.tones.Slope(light.Level)
	v.texture = left * stops
	size := q.Bounds()
	v.slope = math.Hypot(light.GX*float64(size.Dx()), light.GY*float64(size.Dy())) * stops
	return light
}
