package detect

import (
	"math"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A crowd is the other flat areas around a would-be card.
type crowd struct {
	near    int // close by, of its size and shape: the next tile, key, patch
	twins   int // in all the frame, of nearly its very size and shape
	company int // close by, compact and of about its size
	walled  int // compact ones, down to a tenth of its size, in the quarter around it that has fewest
}

// crowdOf counts the areas of a map around a quad.
func crowdOf(m *flatMap, q geometry.Quad) (c crowd) {
	b, side := m.partIn(q), math.Sqrt(q.Area())
	var quarters [4]int
	for i := range m.blobs {
		o := &m.blobs[i]
		off := o.centre.Sub(b.centre)
		d := off.Length()
		if d < side/3 {
			continue // itself, or part of it
		}
		if o.congruent(&b, 1.35, 0.2) {
			c.twins++
		}
		if d > 2.5*side {
			continue
		}
		if o.congruent(&b, 1.8, 0.35) {
			c.near++
		}
		if o.squareness() < 0.8 {
			continue
		}
		if o.congruent(&b, 2.5, 1.2) {
			c.company++
		}
		if o.area > b.area/10 && float64(o.area) < 2.5*float64(b.area) {
			quarters[quarterOf(off)]++
		}
	}
	c.walled = min(quarters[0], quarters[1], quarters[2], quarters[3])
	return c
}

// partIn returns the flat area that a quad is about, or what it would be: to be set beside its
// neighbours, which are flat areas too. One of the quad's sides may lie off.
func (m *flatMap) partIn(q geometry.Quad) blob {
	part, side := flatPart(q, m.rim), math.Sqrt(q.Area())
	for i := range m.blobs {
		b := &m.blobs[i]
		if b.centre.Distance(part.centre) < side/4 && b.squareness() > leastSquareness && 4*b.area > 3*part.area && 3*b.area < 4*part.area {
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

// flatPart returns the blob that a quad would be, drawn in by a rim, as if a parallelogram.
func flatPart(q geometry.Quad, rim float64) blob {
	a := q[1].Sub(q[0]).Add(q[2].Sub(q[3])).Scale(0.5)
	b := q[3].Sub(q[0]).Add(q[2].Sub(q[1])).Scale(0.5)
	a = a.Scale(math.Max(1-rim/a.Length(), 0.1))
	b = b.Scale(math.Max(1-rim/b.Length(), 0.1))
	return blob{area: int(math.Max(a.Cross(b), 1)), centre: q.Centre(),
		xx: (a.X*a.X + b.X*b.X) / 12, yy: (a.Y*a.Y + b.Y*b.Y) / 12, xy: (a.X*a.Y + b.X*b.Y) / 12}
}

// aroundAlike returns the area near a quad, but not in it, that has a tone to within a little, as
// a share of the quad's area.
func aroundAlike(l *level, q geometry.Quad, b *blob, tones toneTable) float64 {
	const tolerance = 0.08 // stops
	off := math.Max(tolerance/tones.slope(b.y), leastSteep)
	near, rim := q.Shrink(2.5).Bounds(), q.Grow(2)
	n := 0
	for y := max(near.Min.Y, 0); y < min(near.Max.Y, l.h); y++ {
		for x := max(near.Min.X, 0); x < min(near.Max.X, l.w); x++ {
			k := y*l.w + x
			if math.Abs(float64(l.y[k])-b.y) < off && math.Abs(float64(l.u[k])-b.u) < off &&
				math.Abs(float64(l.v[k])-b.v) < off && !rim.Contains(geometry.Pt(float64(x)+0.5, float64(y)+0.5)) {
				n++
			}
		}
	}
	return float64(n) / q.Area()
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
