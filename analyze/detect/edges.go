package detect

import (
	"math"

	"stopledger/analyze/detect/pyramid"
	"stopledger/analyze/robust"
	"stopledger/decode/geometry"
)

// A side is one edge of a would-be card as a level shows it.
type side struct {
	from, to geometry.Point // on the edge as found
	seen     float64        // share of its length where the signal steps, on the line, 0..1
	contrast float64        // median step across it, codes, of the channel that shows it best
	sharp    float64        // median share of the whole change across it that is this step, 0..1
}

// An edgeSearch looks for edges in one level.
type edgeSearch struct {
	*pyramid.Level
	p *EdgeParams
}

// sides looks along each side of a rough quad for the step in the signal, fits a line to
// the steps, and returns the quad that the four lines bound. step is the least that counts.
func (s edgeSearch) sides(rough geometry.Quad, step float64) (q geometry.Quad, sides [4]side, ok bool) {
	for i := range sides {
		sides[i] = s.side(rough[i], rough[(i+1)%4], step)
	}
	for i := range q {
		before := sides[(i+3)%4]
		q[i], ok = geometry.Crossing(before.from, before.to, sides[i].from, sides[i].to)
		if !ok || q[i].Distance(rough[i]) > s.p.MostMoved {
			return rough, sides, false
		}
	}
	return q, sides, q.Convex()
}

func (s edgeSearch) side(a, b geometry.Point, step float64) side {
	along := b.Sub(a)
	length := along.Length()
	if length < 1 {
		return side{from: a, to: b}
	}
	along = along.Scale(1 / length)
	out := geometry.Pt(along.Y, -along.X) // clockwise: the outside is to the left of the way
	var at, off, steps, sharp []float64
	for i := range sideProbes {
		t := length * (s.p.Margin + (1-2*s.p.Margin)*(float64(i)+0.5)/sideProbes)
		if c := s.strongestStep(a.Add(along.Scale(t)), out); c.size >= step {
			at, off = append(at, t), append(off, c.off)
			steps, sharp = append(steps, c.size), append(sharp, c.sharp)
		}
	}
	if len(at) < s.p.LeastProbes {
		return side{from: a, to: b}
	}
	slope, shift := robust.TheilSen(at, off, s.p.Apart)
	found := side{contrast: robust.Median(steps), sharp: robust.Median(sharp)}
	for i := range at {
		if math.Abs(off[i]-shift-slope*at[i]) <= s.p.OnLine {
			found.seen += 1.0 / sideProbes
		}
	}
	found.from = a.Add(out.Scale(shift))
	found.to = a.Add(along.Scale(length)).Add(out.Scale(shift + slope*length))
	return found
}

// A crossover is where the signal steps most on a way across a side.
type crossover struct {
	off   float64 // pixels outward
	size  float64 // of the step over two pixels, codes
	sharp float64 // the step over the whole change within reach, 0..1
}

// A profile is the signal's three channels on a way across a side.
type profile [2*probeReach + 1][3]float64

// strongestStep looks across a side at p. Beyond the frame there is no step.
func (s edgeSearch) strongestStep(p, out geometry.Point) (c crossover) {
	across, ok := s.across(p, out)
	if !ok {
		return c
	}
	var steep [len(across)]float64
	for i := 1; i < len(across)-1; i++ {
		for k := range 3 {
			g := math.Abs(across[i+1][k] - across[i-1][k])
			if steep[i] = math.Max(steep[i], g); g > c.size {
				c.size, c.sharp = g, g/math.Max(across.span(k), 1)
			}
		}
	}
	// the middle of the steepest part, to a fraction of a pixel
	var weight float64
	for i, g := range steep {
		if g > s.p.Steepest*c.size {
			weight += g
			c.off += g * float64(i-probeReach)
		}
	}
	if weight > 0 {
		c.off /= weight
	}
	return c
}

// across reads the profile through p, each place a mean of some pixels along the side; ok is false
// where it leaves the level.
func (s edgeSearch) across(p, out geometry.Point) (read profile, ok bool) {
	along := geometry.Pt(-out.Y, out.X)
	for i := range read {
		for j := -probeWidth; j <= probeWidth; j++ {
			q := p.Add(out.Scale(float64(i - probeReach))).Add(along.Scale(float64(j)))
			x, y := int(math.Floor(q.X)), int(math.Floor(q.Y))
			if x < 0 || y < 0 || x >= s.W || y >= s.H {
				return read, false
			}
			k := y*s.W + x
			read[i][0] += float64(s.Y[k]) / (2*probeWidth + 1)
			read[i][1] += float64(s.U[k]) / (2*probeWidth + 1)
			read[i][2] += float64(s.V[k]) / (2*probeWidth + 1)
		}
	}
	return read, true
}

// span returns the difference of the largest and smallest values of a channel.
func (r *profile) span(channel int) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range r {
		low, high = math.Min(low, p[channel]), math.Max(high, p[channel])
	}
	return high - low
}

// carried counts the ends at which a side's edge goes on beyond the corner, as the edge of something
// does behind which the area is only seen.
func (s edgeSearch) carried(q geometry.Quad, sides [4]side, step float64) (n int) {
	for i := range q {
		a, b := q[i], q[(i+1)%4]
		along := b.Sub(a).Scale(1 / b.Distance(a))
		reach := math.Min(math.Max(s.p.CarryShare*b.Distance(a), s.p.CarryLeast), s.p.CarryMost)
		least := math.Max(step, s.p.CarryContrast*sides[i].contrast)
		if s.goesOn(b, along, reach, least) {
			n++
		}
		if s.goesOn(a, along.Scale(-1), reach, least) {
			n++
		}
	}
	return n
}

// goesOn reports whether the signal steps across the line from a corner onwards.
func (s edgeSearch) goesOn(corner, along geometry.Point, reach, least float64) bool {
	out := geometry.Pt(along.Y, -along.X)
	seen := 0
	for i := range carryProbes {
		t := s.p.CarryClear + (reach-s.p.CarryClear)*float64(i)/(carryProbes-1)
		c := s.strongestStep(corner.Add(along.Scale(t)), out)
		if c.size >= least && math.Abs(c.off) <= s.p.CarryOff {
			seen++
		}
	}
	return seen >= s.p.CarrySeen
}

// filledCorners counts the corners of a quad into which an area's signal reaches, light taken as a
// plane.
func (s edgeSearch) filledCorners(b *pyramid.Component, q geometry.Quad, step float64, light pyramid.Plane) (n int) {
	inset := math.Min(math.Max(s.p.InsetPx/shortSide(q), s.p.LeastInset), s.p.MostInset)
	limit := math.Max(s.p.CornerSteps*step, s.p.CornerCode)
	for i := range q {
		p := geometry.Mix(q[i], q[(i+2)%4], inset) // towards the opposite one
		k := int(p.Y)*s.W + int(p.X)
		off := math.Max(math.Abs(float64(s.U[k])-b.U), math.Abs(float64(s.V[k])-b.V))
		if off < limit && math.Abs(float64(s.Y[k])-light.At(p)) < limit {
			n++
		}
	}
	return n
}

// shortSide is the mean length of the shorter pair of sides.
func shortSide(q geometry.Quad) float64 {
	return math.Min(q.Side(0)+q.Side(2), q.Side(1)+q.Side(3)) / 2
}
