package detect

import (
	"math"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A chartView is a chart as the search sees it, in frame pixels.
type chartView struct {
	grid  geometry.Homography // (0..5, 0..3) to the centres of the patches
	match match
	nodes int  // patches seen as flat areas
	spots bool // seen as still points only, whose place is less sure
}

const (
	// leastNodes flat areas on a grid make a chart worth a look: half of the patches.
	leastNodes = 10
	// leastLikeness is the correlation on each axis that a first look must show.
	leastLikeness = 0.45
	// leastExplained is the share of variance on each axis that makes a chart. Mirrored or
	// turned charts and chance grids stay far below (see the tests).
	leastExplained = 0.72
)

// A chartSearch looks for charts in one level.
type chartSearch struct {
	flat   *flatMap
	index  *blobIndex
	tones  toneTable
	matrix curve.Matrix
	found  []chartView
}

// charts returns the charts that a flat map shows.
func charts(m *flatMap, coarsest bool, tones toneTable, matrix curve.Matrix) []chartView {
	s := &chartSearch{flat: m, index: patchBlobs(m, coarsest), tones: tones, matrix: matrix}
	lattices(s.index, leastNodes, s.look)
	return s.found
}

// look tries every way to lay the chart on the lattice and keeps the best that passes.
func (s *chartSearch) look(g *lattice) {
	colours := make([][axes]float64, len(g.nodes))
	for i, n := range g.nodes {
		b := &s.flat.blobs[n.blob]
		colours[i] = axesOf(s.tones.tone(b.y, b.u, b.v, s.matrix))
	}
	if placed, at, ok := bestPlacing(g, colours); ok {
		s.settle(g, at, placed)
	}
}

// settle fits the plane of a placed chart, gathers the patches that the lattice missed, and
// keeps the chart if its colours are right.
func (s *chartSearch) settle(g *lattice, at []place, p placing) {
	var from, to []geometry.Point
	var seen [24]bool
	for k, n := range g.nodes {
		if u, v, ok := p.patch(at[k]); ok {
			from = append(from, geometry.Pt(float64(u), float64(v)))
			to = append(to, s.flat.blobs[n.blob].centre)
		}
	}
	h, err := fitTrimmed(from, to)
	for range 2 {
		if err != nil || !s.plausible(h) {
			return
		}
		h = s.shifted(h)
		from, to, seen = s.gather(h)
		h, err = fitTrimmed(from, to)
	}
	if err != nil || !s.plausible(h) {
		return
	}
	m := matchColours(s.sample(h), seen)
	if m.explained < leastExplained || m.used < leastUsed {
		return
	}
	if h, err = fitTrimmed(without(from, to, &m.odd)); err != nil {
		return
	}
	s.found = append(s.found, chartView{grid: h.Times(s.flat.level.scale), match: m, nodes: len(from)})
}

// without leaves out the patches whose colours are off: glare moves the centre of what is flat.
func without(from, to []geometry.Point, odd *[24]bool) (f, t []geometry.Point) {
	for i, p := range from {
		if !odd[int(p.Y)*6+int(p.X)] {
			f, t = append(f, p), append(t, to[i])
		}
	}
	return f, t
}

// shifted returns the grid moved by the whole patch that fits the colours best: a lattice that
// misses a row does not know where it lies.
func (s *chartSearch) shifted(h geometry.Homography) geometry.Homography {
	all := make([]int, 24)
	for i := range all {
		all[i] = i
	}
	best, chosen := -1.0, h
	for _, d := range [9]geometry.Point{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: -1, Y: 0}, {X: 0, Y: 1}, {X: 0, Y: -1}, {X: 1, Y: 1}, {X: 1, Y: -1}, {X: -1, Y: 1}, {X: -1, Y: -1}} {
		moved := h.Moved(d)
		if !s.plausible(moved) {
			continue
		}
		if l := likeness(all, s.sample(moved)[:]); l > best {
			best, chosen = l, moved
		}
	}
	return chosen
}

// gridOutline is the chart's grid to its outer edge, half a pitch beyond the outer centres.
func gridOutline(h geometry.Homography) geometry.Quad { return h.Image(-0.5, -0.5, 5.5, 3.5) }

// plausible reports whether the grid is a quad that a camera could see, all patches in frame.
func (s *chartSearch) plausible(h geometry.Homography) bool {
	q := gridOutline(h)
	if !q.Convex() {
		return false
	}
	in := geometry.Quad{h.At(0, 0), h.At(5, 0), h.At(5, 3), h.At(0, 3)}
	for _, p := range in {
		if p.X < 1 || p.Y < 1 || p.X > float64(s.flat.level.w-1) || p.Y > float64(s.flat.level.h-1) {
			return false
		}
	}
	a, b := q.Side(0)/q.Side(2), q.Side(1)/q.Side(3)
	return a > 0.4 && a < 2.5 && b > 0.4 && b < 2.5
}

// gather returns the flat areas nearest to where the patches should be.
func (s *chartSearch) gather(h geometry.Homography) (from, to []geometry.Point, seen [24]bool) {
	for n := range 24 {
		u, v := float64(n%6), float64(n/6)
		cell := h.Cell(u, v, 0.5)
		pitch := math.Min(cell.Side(0), cell.Side(1))
		best, at := 0.3*pitch, noBlob
		s.index.near(h.At(u, v), best, func(i int, d float64) {
			if d < best && float64(s.flat.blobs[i].area) < 1.1*cell.Area() {
				best, at = d, i
			}
		})
		if at != noBlob {
			from = append(from, geometry.Pt(u, v))
			to = append(to, s.flat.blobs[at].centre)
			seen[n] = true
		}
	}
	return from, to, seen
}

// fitTrimmed fits a homography and once more without points that stand off: a patch that glare
// or a finger has cut has its centre elsewhere.
func fitTrimmed(from, to []geometry.Point) (geometry.Homography, error) {
	h, err := geometry.FitHomography(from, to)
	if err != nil {
		return h, err
	}
	miss := make([]float64, len(from))
	for i, p := range from {
		miss[i] = h.At(p.X, p.Y).Distance(to[i])
	}
	limit := 2.5*median(miss) + 0.1
	var f, t []geometry.Point
	for i := range from {
		if miss[i] <= limit {
			f, t = append(f, from[i]), append(t, to[i])
		}
	}
	if len(f) == len(from) || len(f) < 8 {
		return h, nil
	}
	return geometry.FitHomography(f, t)
}

// sample returns the colours of the patches' middles.
func (s *chartSearch) sample(h geometry.Homography) *[24][axes]float64 {
	const steps, reach = 5, 0.2 // of the pitch, each way: the middle 44 % of a patch
	l := s.flat.level
	var c [24][axes]float64
	for n := range c {
		var y, u, v float64
		for j := range steps {
			for i := range steps {
				p := h.At(float64(n%6)+reach*(float64(i)/2-1), float64(n/6)+reach*(float64(j)/2-1))
				at := min(max(int(p.Y), 0), l.h-1)*l.w + min(max(int(p.X), 0), l.w-1)
				y, u, v = y+float64(l.y[at]), u+float64(l.u[at]), v+float64(l.v[at])
			}
		}
		const k = 1.0 / (steps * steps)
		c[n] = axesOf(s.tones.tone(y*k, u*k, v*k, s.matrix))
	}
	return &c
}
