package detect

import (
	"math"

	"stopledger/decode/geometry"
)

// A proposal is a flat area whose outline four sides enclose, before a closer look.
type proposal struct {
	quad    geometry.Quad // level pixels
	filled  float64       // share of the quad that is the flat area
	outline float64       // share of the enclosing quad that is the area's convex outline
	mean    blob          // the flat area
	flat    *flatMap
	tiles   *flatMap // of the same level, not narrowed: where like things would show
	noise   float64  // of the level's luma there, 12-bit scale
}

// Limits of what may be a card. Ours, from trials, but where a source is given.
const (
	leastCardShare = 1.0 / 32 // of the frame's width, for the shorter side
	leastSidePx    = 10       // and in pixels of the level
	mostCardShare  = 0.6      // of the frame's area
	leastFilled    = 0.6      // of the quad, by one flat area
	leastOutline   = 0.82     // of the quad, by the outline: an ellipse has 0.785
	mostOpposite   = 1.8      // ratio of opposite sides, perspective
	mostAspect     = 2.6      // ratio of neighbouring sides, foreshortening included
	squarestSine   = 0.6      // of the corners' angles
)

// leastSide returns the shortest side of a card in a level's pixels.
func leastSide(l *level) float64 { return math.Max(leastCardShare*float64(l.w), leastSidePx) }

// proposals returns the flat areas that a card could be.
func (s *search) proposals(m, tiles *flatMap, noise roughness) (found []proposal) {
	l := m.level
	least := leastFilled * sq(leastSide(l)-m.rim)
	for i := range m.blobs {
		b := &m.blobs[i]
		if float64(b.area) < least || float64(b.area) > mostCardShare*float64(l.w*l.h) ||
			b.elongation() > mostAspect || b.squareness() < 0.5 || s.colourful(b) {
			continue
		}
		hull := m.hull(b)
		for _, q := range geometry.EnclosingQuads(hull) {
			if p, ok := proposalOf(m, b, q, geometry.PolygonArea(hull)/q.Area()); ok {
				p.tiles, p.noise = tiles, float64(noise.luma[clampBin(int16(b.y))])/math.Sqrt2
				found = append(found, p)
			}
		}
	}
	return found
}

// proposalOf judges one quad around a flat area whose outline has a share of it.
func proposalOf(m *flatMap, b *blob, q geometry.Quad, outline float64) (p proposal, ok bool) {
	if outline < leastOutline || !cardShaped(q) || shortSide(q) < leastSide(m.level)-m.rim {
		return p, false
	}
	// the flat area ends short of the sides it is enclosed by
	q = q.Grow(m.rim / 2)
	rim := m.rim / 2 * (q.Side(0) + q.Side(1) + q.Side(2) + q.Side(3))
	filled := float64(b.area) / math.Max(q.Area()-rim, 1)
	return proposal{quad: q, filled: filled, outline: outline, mean: *b, flat: m}, filled >= leastFilled
}

// colourful reports areas that are no card by their colour alone.
func (s *search) colourful(b *blob) bool {
	return neutrality(s.tones.tone(b.y, b.u, b.v, s.matrix), s.cast) == 0
}

// cardShaped reports whether a rectangle seen by a camera could look like the quad.
func cardShaped(q geometry.Quad) bool {
	for i := range q {
		a, b := q[i].Sub(q[(i+3)%4]), q[(i+1)%4].Sub(q[i])
		if a.Cross(b) < squarestSine*a.Length()*b.Length() {
			return false
		}
	}
	ratio := func(a, b float64) float64 { return math.Max(a/b, b/a) }
	return ratio(q.Side(0), q.Side(2)) < mostOpposite && ratio(q.Side(1), q.Side(3)) < mostOpposite &&
		ratio(q.Side(0)+q.Side(2), q.Side(1)+q.Side(3)) < mostAspect
}

// shortSide is the mean length of the shorter pair of sides.
func shortSide(q geometry.Quad) float64 {
	return math.Min(q.Side(0)+q.Side(2), q.Side(1)+q.Side(3)) / 2
}

// alike reports whether two quads lie in one place and are of one size.
func alike(a, b geometry.Quad) bool {
	areas := a.Area() / b.Area()
	return areas > 0.8 && areas < 1.25 && a.Centre().Distance(b.Centre()) < 0.1*math.Sqrt(a.Area())
}
