package detect

import (
	"math"

	"stopledger/decode/geometry"
)

// A cardView is a would-be card on a closer look: what the confidence is made of.
type cardView struct {
	quad    geometry.Quad // frame pixels
	share   float64       // of the frame's area
	filled  float64       // share of the quad that is one flat area
	outline float64       // share of the enclosing quad that the area's convex outline has
	sides   float64       // mean share of the sides that is seen as an edge
	strong  int           // sides seen well
	sharp   float64       // median share of the change across a side that is a step
	corners int           // of the four, filled into the corner as a round thing is not
	carried int           // ends of sides at which the edge goes on beyond the corner, 0..8
	rough   float64       // unevenness left after a plane of light, in units of the noise
	texture float64       // the same in stops
	slope   float64       // light from one side to the other, stops
	crowd   crowd         // like things around it: tiles, keys, patches of a chart
	around  float64       // area around it of its very tone, over its own: a wall seen between things
}

// wellSeen is the share of a side that an edge must be seen on.
const wellSeen = 0.7

// smallestTraced is the shorter side, in pixels of a level, below which its edges say too little:
// any rough spot has four sides when it is small.
const smallestTraced = 36

// A tracing is the sides of a proposal as one level shows them.
type tracing struct {
	level       *level
	quad        geometry.Quad // level pixels
	sides       [4]side
	step        float64 // least that counted, 12-bit scale
	seen, sharp float64 // mean and median of the sides'
}

// trace looks for the sides on the finest level first; a card out of focus, or in much noise,
// shows them on a coarser one.
func (p *proposal) trace(levels []*level, limits []steepness) (best tracing, ok bool) {
	own := p.flat.level
	for i, l := range levels {
		q := p.quad.Times(own.scale / l.scale)
		if i > 0 && (l.scale > own.scale || shortSide(q) < smallestTraced) {
			break
		}
		t := tracing{level: l, step: math.Max(float64(limits[i].luma[clampBin(int16(p.mean.y))])*averaged, 2*leastSteep)}
		var found bool
		t.quad, t.sides, found = traceSides(l, q, t.step)
		t.sharp = median([]float64{t.sides[0].sharp, t.sides[1].sharp, t.sides[2].sharp, t.sides[3].sharp})
		for _, s := range t.sides {
			t.seen += s.seen / 4
		}
		if found && (!ok || t.seen > best.seen) {
			best, ok = t, true
		}
		if ok && best.seen >= seenEnough && best.sharp >= sharpEnough {
			break
		}
	}
	return best, ok
}

const (
	sharpEnough = 0.55
	seenEnough  = 0.85
	// averaged is what is left of the noise by the three pixels that a probe averages.
	averaged = 0.6
)

// view looks closely at a proposal; ok is false where its shape does not reach least, as soon as that
// is known.
func (p *proposal) view(levels []*level, limits []steepness, tones toneTable, least float64) (v cardView, ok bool) {
	onTiles := func(q geometry.Quad) geometry.Quad { return q.Times(1 / p.tiles.level.scale) }
	if shapeWorth*fills(p.filled, p.outline) < least || crowdOf(p.tiles, onTiles(p.quad.Times(p.flat.level.scale))).sparse() == 0 {
		return v, false
	}
	t, ok := p.trace(levels, limits)
	l, q := t.level, t.quad
	if !ok || !cardShaped(q) || !q.Within(l.w, l.h) || shortSide(q) < leastSide(l) {
		return v, false
	}
	v = cardView{quad: q.Times(l.scale), share: q.Area() / float64(l.w*l.h), filled: p.filled, outline: p.outline, sides: t.seen, sharp: t.sharp}
	for _, e := range t.sides {
		if e.seen >= wellSeen {
			v.strong++
		}
	}
	v.crowd = crowdOf(p.tiles, onTiles(v.quad))
	v.corners = len(q) // what is not known yet speaks for a card
	if v.shape() < least {
		return v, false
	}
	v.carried = carriedEdges(l, q, t.sides, t.step)
	coarse := levels[min(2, len(levels)-1)]
	v.around = aroundAlike(coarse, v.quad.Times(1/coarse.scale), &p.mean, tones)
	if v.shape() < least {
		return v, false
	}
	plane := v.unevenness(p.flat.level, v.quad.Times(1/p.flat.level.scale), p.noise, tones)
	v.corners = filledCorners(l, &p.mean, q, t.step, plane.times(l.scale/p.flat.level.scale))
	return v, v.shape() >= least
}

// cornerTolerance is how far the signal in a corner may be off at least, 12-bit scale: coding smears
// colour there. It is a sixth of a stop in a logarithmic curve.
const cornerTolerance = 50

// filledCorners counts the corners into which the area's signal reaches, light taken as a plane.
func filledCorners(l *level, b *blob, q geometry.Quad, step float64, light lightPlane) (n int) {
	// Clear of the edge's blur, but out where an ellipse would not reach (0.146 of the diagonal).
	inset := math.Min(math.Max(3.5/shortSide(q), 0.07), 0.12)
	limit := math.Max(1.5*step, cornerTolerance)
	for i := range q {
		p := geometry.Mix(q[i], q[(i+2)%4], inset) // towards the opposite one
		k := int(p.Y)*l.w + int(p.X)
		off := math.Max(math.Abs(float64(l.u[k])-b.u), math.Abs(float64(l.v[k])-b.v))
		if off < limit && math.Abs(float64(l.y[k])-light.at(p)) < limit {
			n++
		}
	}
	return n
}

// carriedEdges counts the ends at which a side's edge goes on beyond the corner, as the edge of
// something does behind which the area is only seen.
func carriedEdges(l *level, q geometry.Quad, sides [4]side, step float64) (n int) {
	for i := range q {
		a, b := q[i], q[(i+1)%4]
		along := b.Sub(a).Scale(1 / b.Distance(a))
		reach := math.Min(math.Max(0.3*b.Distance(a), 8), 16)
		least := math.Max(step, 0.5*sides[i].contrast)
		if edgeGoesOn(l, b, along, reach, least) {
			n++
		}
		if edgeGoesOn(l, a, along.Scale(-1), reach, least) {
			n++
		}
	}
	return n
}

// edgeGoesOn reports whether the signal steps across the line from a corner onwards.
func edgeGoesOn(l *level, corner, along geometry.Point, reach, least float64) bool {
	const probes = 8
	out := geometry.Pt(along.Y, -along.X)
	seen := 0
	for i := range probes {
		t := 4 + (reach-4)*float64(i)/(probes-1)
		if c := strongestStep(l, corner.Add(along.Scale(t)), out); c.size >= least && math.Abs(c.off) <= 1.5 {
			seen++
		}
	}
	return seen >= 6
}

// unevenness fits a plane of light to the inside and measures what is left, robustly: fingers
// lie inside the quad too. It returns the plane, in the level's pixels.
func (v *cardView) unevenness(l *level, q geometry.Quad, noise float64, tones toneTable) lightPlane {
	inner := q.Shrink(0.8)
	b := inner.Bounds()
	step := max(1, int(math.Sqrt(inner.Area()/400)))
	var x, y, z []float64
	for j := b.Min.Y; j < b.Max.Y; j += step {
		for i := b.Min.X; i < b.Max.X; i += step {
			if inner.Contains(geometry.Pt(float64(i)+0.5, float64(j)+0.5)) {
				x, y = append(x, float64(i)+0.5), append(y, float64(j)+0.5)
				z = append(z, float64(l.y[j*l.w+i]))
			}
		}
	}
	light, left := steadyPlane(x, y, z)
	v.rough = left / math.Max(noise, 0.25*leastSteep)
	stops := tones.slope(light.level)
	v.texture = left * stops
	size := q.Bounds()
	v.slope = math.Hypot(light.gx*float64(size.Dx()), light.gy*float64(size.Dy())) * stops
	return light
}
