package find

import (
	"math"

	"stopledger/curve"
)

// A cardView is a would-be card on a closer look: what the confidence is made of.
type cardView struct {
	quad     quad    // frame pixels
	share    float64 // of the frame's area
	filled   float64 // share of the quad that is one flat area
	sides    float64 // mean share of the sides that is seen as an edge
	strong   int     // sides seen well
	sharp    float64 // median share of the change across a side that is a step
	corners  int     // of the four, filled into the corner as a round thing is not
	carried  int     // ends of sides at which the edge goes on beyond the corner, 0..8
	rough    float64 // unevenness left after a plane of light, in units of the noise
	texture  float64 // the same in stops
	slope    float64 // light from one side to the other, stops
	siblings int     // like areas around it: a tile, a key, a patch of a chart
	company  int     // compact areas of about its size around it
	twins    int     // areas of its very size and shape in all the frame
	around   float64 // area around it of its very tone, over its own: a wall seen between things
}

// wellSeen is the share of a side that an edge must be seen on.
const wellSeen = 0.7

// smallestTraced is the shorter side, in pixels of a level, below which its edges say too little:
// any rough spot has four sides when it is small.
const smallestTraced = 36

// A tracing is the sides of a proposal as one level shows them.
type tracing struct {
	level       *level
	quad        quad // level pixels
	sides       [4]side
	step        float64 // least that counted, 12-bit scale
	seen, sharp float64 // mean and median of the sides'
}

// trace looks for the sides on the finest level first; a card out of focus, or in much noise,
// shows them on a coarser one.
func (p *proposal) trace(levels []*level, limits []steepness) (best tracing, ok bool) {
	own := p.flat.level
	for i, l := range levels {
		q := p.quad.times(own.scale / l.scale)
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

// view looks closely at a proposal.
func (p *proposal) view(levels []*level, limits []steepness, tones toneTable) (v cardView, ok bool) {
	t, ok := p.trace(levels, limits)
	l, q := t.level, t.quad
	if !ok || !cardShaped(q) || !q.inside(l.w, l.h) || shortSide(q) < leastSide(l) {
		return v, false
	}
	v = cardView{quad: q.times(l.scale), share: q.area() / float64(l.w*l.h), filled: p.filled, sides: t.seen, sharp: t.sharp}
	for _, e := range t.sides {
		if e.seen >= wellSeen {
			v.strong++
		}
	}
	v.carried = carriedEdges(l, q, t.sides, t.step)
	v.siblings, v.twins, v.company = siblings(p.tiles, v.quad.times(1/p.tiles.level.scale))
	coarse := levels[min(2, len(levels)-1)]
	v.around = aroundAlike(coarse, v.quad.times(1/coarse.scale), &p.mean, tones)
	plane := v.unevenness(p.flat.level, v.quad.times(1/p.flat.level.scale), p.noise, tones)
	v.corners = filledCorners(l, &p.mean, q, t.step, plane.times(l.scale/p.flat.level.scale))
	return v, true
}

// filledCorners counts the corners into which the area's signal reaches, light taken as a plane.
func filledCorners(l *level, b *blob, q quad, step float64, light lightPlane) (n int) {
	inset := math.Max(2.5/shortSide(q), 0.06)
	for i := range q {
		p := mix(q[i], q[(i+2)%4], inset) // towards the opposite one
		k := int(p.Y)*l.w + int(p.X)
		off := math.Max(math.Abs(float64(l.u[k])-b.u), math.Abs(float64(l.v[k])-b.v))
		if off < 1.5*step && math.Abs(float64(l.y[k])-light.at(p)) < 1.5*step {
			n++
		}
	}
	return n
}

// carriedEdges counts the ends at which a side's edge goes on beyond the corner, as the edge of
// something does behind which the area is only seen.
func carriedEdges(l *level, q quad, sides [4]side, step float64) (n int) {
	for i := range q {
		a, b := q[i], q[(i+1)%4]
		along := b.sub(a).scale(1 / b.distance(a))
		reach := math.Min(math.Max(0.3*b.distance(a), 8), 16)
		least := math.Max(step, 0.5*sides[i].contrast)
		if edgeGoesOn(l, b, along, reach, least) {
			n++
		}
		if edgeGoesOn(l, a, along.scale(-1), reach, least) {
			n++
		}
	}
	return n
}

// edgeGoesOn reports whether the signal steps across the line from a corner onwards.
func edgeGoesOn(l *level, corner, along Point, reach, least float64) bool {
	const probes = 8
	out := Point{along.Y, -along.X}
	seen := 0
	for i := range probes {
		t := 4 + (reach-4)*float64(i)/(probes-1)
		if c := strongestStep(l, corner.add(along.scale(t)), out); c.size >= least && math.Abs(c.off) <= 1.5 {
			seen++
		}
	}
	return seen >= 6
}

// unevenness fits a plane of light to the inside and measures what is left, robustly: fingers
// lie inside the quad too. It returns the plane, in the level's pixels.
func (v *cardView) unevenness(l *level, q quad, noise float64, tones toneTable) lightPlane {
	inner := q.shrink(0.8)
	b := inner.bounds()
	step := max(1, int(math.Sqrt(inner.area()/400)))
	var x, y, z []float64
	for j := b.Min.Y; j < b.Max.Y; j += step {
		for i := b.Min.X; i < b.Max.X; i += step {
			if inner.contains(Point{float64(i) + 0.5, float64(j) + 0.5}) {
				x, y = append(x, float64(i)+0.5), append(y, float64(j)+0.5)
				z = append(z, float64(l.y[j*l.w+i]))
			}
		}
	}
	light, left := steadyPlane(x, y, z)
	v.rough = left / math.Max(noise, 0.25*leastSteep)
	stops := tones.slope(light.level)
	v.texture = left * stops
	size := q.bounds()
	v.slope = math.Hypot(light.gx*float64(size.Dx()), light.gy*float64(size.Dy())) * stops
	return light
}

// siblings counts areas of a quad's size and shape close by; twins those of nearly its very size
// and shape in all the frame; and, close by, any compact ones of about its size.
func siblings(m *flatMap, q quad) (near, twins, company int) {
	b := flatPart(q, m.rim)
	reach := 2.5 * math.Sqrt(q.area())
	for i := range m.blobs {
		o := &m.blobs[i]
		d := o.centre.distance(b.centre)
		if d < math.Sqrt(q.area())/3 {
			continue // itself, or part of it
		}
		if d < reach && o.congruent(&b, 1.8, 0.35) {
			near++
		}
		if d < reach && o.congruent(&b, 2.5, 1.2) && o.squareness() > 0.8 {
			company++
		}
		if o.congruent(&b, 1.35, 0.2) {
			twins++
		}
	}
	return near, twins, company
}

// flatPart returns the blob that a quad would be, drawn in by a rim, as if a parallelogram.
func flatPart(q quad, rim float64) blob {
	a := q[1].sub(q[0]).add(q[2].sub(q[3])).scale(0.5)
	b := q[3].sub(q[0]).add(q[2].sub(q[1])).scale(0.5)
	a = a.scale(math.Max(1-rim/a.length(), 0.1))
	b = b.scale(math.Max(1-rim/b.length(), 0.1))
	return blob{area: int(math.Max(a.cross(b), 1)), centre: q.centre(),
		xx: (a.X*a.X + b.X*b.X) / 12, yy: (a.Y*a.Y + b.Y*b.Y) / 12, xy: (a.X*a.Y + b.X*b.Y) / 12}
}

// aroundAlike returns the area near a quad, but not in it, that has a tone to within a little, as
// a share of the quad's area.
func aroundAlike(l *level, q quad, b *blob, tones toneTable) float64 {
	const tolerance = 0.08 // stops
	off := math.Max(tolerance/tones.slope(b.y), leastSteep)
	near, rim := q.shrink(2.5).bounds(), q.grow(2)
	n := 0
	for y := max(near.Min.Y, 0); y < min(near.Max.Y, l.h); y++ {
		for x := max(near.Min.X, 0); x < min(near.Max.X, l.w); x++ {
			k := y*l.w + x
			if math.Abs(float64(l.y[k])-b.y) < off && math.Abs(float64(l.u[k])-b.u) < off &&
				math.Abs(float64(l.v[k])-b.v) < off && !rim.contains(Point{float64(x) + 0.5, float64(y) + 0.5}) {
				n++
			}
		}
	}
	return float64(n) / q.area()
}

// brighterShare returns the share of a level that is at least so many stops over a luma.
func brighterShare(l *level, tones toneTable, luma, stops float64) float64 {
	limit := tones.at(luma) + stops
	n := 0
	for _, v := range l.y {
		if v > 0 && float64(tones[min(int(v), len(tones)-1)]) > limit {
			n++
		}
	}
	return float64(n) / float64(len(l.y))
}

// A colourCast is the frame's own middle colour in stops of R-G and B-G, bounded: a scene that
// is all one colour says nothing of the light.
type colourCast struct{ rg, bg float64 }

const mostCast = 1.0

func castOf(l *level, tones toneTable, m curve.Matrix) colourCast {
	var rg, bg []float64
	for i := 0; i < len(l.y); i += 5 {
		t := tones.tone(float64(l.y[i]), float64(l.u[i]), float64(l.v[i]), m)
		rg, bg = append(rg, t.r-t.g), append(bg, t.b-t.g)
	}
	bound := func(x float64) float64 { return math.Min(math.Max(x, -mostCast), mostCast) }
	return colourCast{bound(median(rg)), bound(median(bg))}
}
