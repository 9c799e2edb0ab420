package detect

import (
	"math"

	"stopledger/decode/geometry"
)

// A side is one edge of a would-be card as the level shows it.
type side struct {
	from, to geometry.Point // on the edge as found
	seen     float64        // share of its length where the signal steps, on the line, 0..1
	contrast float64        // median step across it, 12-bit scale, of the channel that shows it best
	sharp    float64        // median share of the whole change across it that is this step, 0..1
}

const (
	sideProbes  = 24   // places along a side
	probeReach  = 4    // pixels of the level to either side
	probeWidth  = 1    // pixels along the side, either way, that a probe averages
	probeMargin = 0.06 // of the side's length left out at its ends
	onLine      = 1    // pixels that a step may lie off the side's line
)

// traceSides looks along each side of a rough quad for the step in the signal, fits a line to
// the steps, and returns the quad that the four lines bound. step is the least that counts.
func traceSides(l *level, rough geometry.Quad, step float64) (q geometry.Quad, sides [4]side, ok bool) {
	for i := range sides {
		sides[i] = traceSide(l, rough[i], rough[(i+1)%4], step)
	}
	for i := range q {
		before := sides[(i+3)%4]
		q[i], ok = geometry.Crossing(before.from, before.to, sides[i].from, sides[i].to)
		if !ok || q[i].Distance(rough[i]) > 3*probeReach {
			return rough, sides, false
		}
	}
	return q, sides, q.Convex()
}

func traceSide(l *level, a, b geometry.Point, step float64) side {
	along := b.Sub(a)
	length := along.Length()
	if length < 1 {
		return side{from: a, to: b}
	}
	along = along.Scale(1 / length)
	out := geometry.Pt(along.Y, -along.X) // clockwise: the outside is to the left of the way
	var at, off, steps, sharp []float64
	for i := range sideProbes {
		t := length * (probeMargin + (1-2*probeMargin)*(float64(i)+0.5)/sideProbes)
		if c := strongestStep(l, a.Add(along.Scale(t)), out); c.size >= step {
			at, off = append(at, t), append(off, c.off)
			steps, sharp = append(steps, c.size), append(sharp, c.sharp)
		}
	}
	if len(at) < 4 {
		return side{from: a, to: b}
	}
	slope, shift := steadyLine(at, off)
	s := side{contrast: median(steps), sharp: median(sharp)}
	for i := range at {
		if math.Abs(off[i]-shift-slope*at[i]) <= onLine {
			s.seen += 1.0 / sideProbes
		}
	}
	s.from = a.Add(out.Scale(shift))
	s.to = a.Add(along.Scale(length)).Add(out.Scale(shift + slope*length))
	return s
}

// A crossover is where the signal steps most on a way across a side.
type crossover struct {
	off   float64 // pixels outward
	size  float64 // of the step over two pixels, 12-bit scale
	sharp float64 // the step over the whole change within reach, 0..1
}

// strongestStep looks across a side at p. Beyond the frame there is no step.
func strongestStep(l *level, p, out geometry.Point) (c crossover) {
	const n = 2*probeReach + 1
	var profile [n][3]float64
	along := geometry.Pt(-out.Y, out.X)
	for i := range profile {
		for j := -probeWidth; j <= probeWidth; j++ {
			q := p.Add(out.Scale(float64(i - probeReach))).Add(along.Scale(float64(j)))
			x, y := int(math.Floor(q.X)), int(math.Floor(q.Y))
			if x < 0 || y < 0 || x >= l.w || y >= l.h {
				return c
			}
			k := y*l.w + x
			profile[i][0] += float64(l.y[k]) / (2*probeWidth + 1)
			profile[i][1] += float64(l.u[k]) / (2*probeWidth + 1)
			profile[i][2] += float64(l.v[k]) / (2*probeWidth + 1)
		}
	}
	var steep [n]float64
	for i := 1; i < n-1; i++ {
		for k := range 3 {
			g := math.Abs(profile[i+1][k] - profile[i-1][k])
			if steep[i] = math.Max(steep[i], g); g > c.size {
				c.size, c.sharp = g, g/math.Max(reachOf(profile[:], k), 1)
			}
		}
	}
	// the middle of the steepest part, to a fraction of a pixel
	var weight float64
	for i, g := range steep {
		if g > 0.7*c.size {
			weight += g
			c.off += g * float64(i-probeReach)
		}
	}
	if weight > 0 {
		c.off /= weight
	}
	return c
}

// reachOf returns the difference of the largest and smallest values of a channel.
func reachOf(profile [][3]float64, channel int) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range profile {
		low, high = math.Min(low, p[channel]), math.Max(high, p[channel])
	}
	return high - low
}

// steadyLine fits y = shift + slope x by the median of slopes and of what is left.
func steadyLine(x, y []float64) (slope, shift float64) {
	var slopes []float64
	for i := range x {
		for j := i + 3; j < len(x); j++ {
			slopes = append(slopes, (y[j]-y[i])/(x[j]-x[i]))
		}
	}
	if len(slopes) > 0 {
		slope = median(slopes)
	}
	left := make([]float64, len(x))
	for i := range x {
		left[i] = y[i] - slope*x[i]
	}
	return slope, median(left)
}
