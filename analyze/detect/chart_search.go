package detect

import (
	"math"

	"stopledger/analyze/detect/lattice"
	"stopledger/analyze/detect/pyramid"
	"stopledger/analyze/robust"
	"stopledger/decode/geometry"
)

// A chartView is a chart as the search sees it, in frame pixels.
type chartView struct {
	grid  geometry.Homography // (0..5, 0..3) to the centres of the patches
	match match
	nodes int  // patches seen as flat areas
	still bool // seen as still points only, whose place is less sure
}

// merit prefers views that explain more, leave out less and saw more patches.
func (v *chartView) merit(p *ChartParams) float64 {
	m := v.match.explained - p.OddMerit*float64(24-v.match.used) + p.NodeGain*float64(v.nodes)
	if v.still {
		m -= p.StillPay
	}
	return m
}

// confidence is 0.5 at the share of variance that chance grids never reach and 1 where the full
// share is explained, less a little for every patch left out beyond a few.
func (v *chartView) confidence(p *ChartParams) float64 {
	c := 0.5 + 0.5*(v.match.explained-p.LeastExplained)/(p.FullExplained-p.LeastExplained)
	c -= p.OddCost * math.Max(float64(24-v.match.used-p.OddFree), 0)
	return math.Min(math.Max(c, 0), 1)
}

// A chartSearch looks for charts in one level.
type chartSearch struct {
	*scan
	flat  *pyramid.Components
	index *pyramid.Index
	found []chartView
}

// charts returns the charts that a level's components show.
func (s *scan) charts(m *pyramid.Components, coarsest bool) []chartView {
	c := &chartSearch{scan: s, flat: m, index: lattice.Index(m, coarsest, &s.p.Lattice)}
	lattice.Find(m, c.index, &s.p.Lattice, c.look)
	return c.found
}

// look tries every way to align the chart with the lattice and keeps the best that passes.
func (s *chartSearch) look(g *lattice.Lattice) {
	colours := make([][axes]float64, len(g.Nodes))
	for i, n := range g.Nodes {
		b := &s.flat.List[n.Component]
		colours[i] = axesOf(s.tones.Tone(b.Y, b.U, b.V, s.matrix))
	}
	if !variegated(colours, s.p.Chart.LeastVariety) {
		return
	}
	places := g.Sheared()
	var best lattice.Placing
	most, ok := s.p.Chart.LeastLikeness, false
	for _, p := range lattice.Placings(places, &s.p.Lattice) {
		if l := placedLikeness(places[p.Shear], p, colours, s.p.Chart.LeastLikeness); l > most {
			best, most, ok = p, l, true
		}
	}
	if ok {
		s.settle(g, places[best.Shear], best)
	}
}

// settle fits the plane of a placed chart, gathers the patches that the lattice missed, and
// keeps the chart if its colours are right.
func (s *chartSearch) settle(g *lattice.Lattice, at []lattice.Place, p lattice.Placing) {
	var from, to []geometry.Point
	var seen [24]bool
	for k, n := range g.Nodes {
		if u, v, ok := p.Patch(at[k]); ok {
			from = append(from, geometry.Pt(float64(u), float64(v)))
			to = append(to, s.flat.List[n.Component].Centre)
		}
	}
	h, err := s.fit(from, to)
	for range 2 {
		if err != nil || !s.plausible(h) {
			return
		}
		h = s.shifted(h)
		from, to, seen = s.gather(h)
		h, err = s.fit(from, to)
	}
	if err != nil || !s.plausible(h) {
		return
	}
	m := matchColours(s.sample(h), seen, &s.p.Chart)
	if m.explained < s.p.Chart.LeastExplained || m.used < s.p.Chart.LeastUsed {
		return
	}
	if h, err = s.fit(without(from, to, &m.odd)); err != nil {
		return
	}
	s.found = append(s.found, chartView{grid: h.Times(s.flat.Level.Scale), match: m, nodes: len(from)})
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

// shifts are the moves of a grid by a whole patch or none.
var shifts = [9]geometry.Point{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: -1, Y: 0}, {X: 0, Y: 1}, {X: 0, Y: -1},
	{X: 1, Y: 1}, {X: 1, Y: -1}, {X: -1, Y: 1}, {X: -1, Y: -1}}

// allPatches lists every patch.
var allPatches = func() (all [24]int) {
	for i := range all {
		all[i] = i
	}
	return all
}()

// shifted returns the grid moved by the whole patch that fits the colours best: a lattice that
// misses a row does not know where it lies.
func (s *chartSearch) shifted(h geometry.Homography) geometry.Homography {
	best, chosen := -1.0, h
	for _, d := range shifts {
		moved := h.Moved(d)
		if !s.plausible(moved) {
			continue
		}
		if l := likeness(allPatches[:], s.sample(moved)[:], s.p.Chart.LeastLikeness); l > best {
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
	l := s.flat.Level
	for _, p := range h.Image(0, 0, 5, 3) {
		if p.X < 1 || p.Y < 1 || p.X > float64(l.W-1) || p.Y > float64(l.H-1) {
			return false
		}
	}
	most := s.p.Chart.MostPerspective
	a, b := q.Side(0)/q.Side(2), q.Side(1)/q.Side(3)
	return a > 1/most && a < most && b > 1/most && b < most
}

// gather returns the components nearest to where the patches should be.
func (s *chartSearch) gather(h geometry.Homography) (from, to []geometry.Point, seen [24]bool) {
	for n := range 24 {
		u, v := float64(n%6), float64(n/6)
		cell := h.Cell(u, v, 0.5)
		pitch := math.Min(cell.Side(0), cell.Side(1))
		best, at := s.p.Chart.GatherReach*pitch, pyramid.None
		s.index.Near(h.At(u, v), best, func(i int, d float64) {
			if d < best && float64(s.flat.List[i].Area) < s.p.Chart.GatherArea*cell.Area() {
				best, at = d, i
			}
		})
		if at != pyramid.None {
			from = append(from, geometry.Pt(u, v))
			to = append(to, s.flat.List[at].Centre)
			seen[n] = true
		}
	}
	return from, to, seen
}

// fit fits a homography and once more without points that stand off: a patch that glare or a finger
// has cut has its centre elsewhere.
func (s *chartSearch) fit(from, to []geometry.Point) (geometry.Homography, error) {
	h, err := geometry.FitHomography(from, to)
	if err != nil {
		return h, err
	}
	miss := make([]float64, len(from))
	for i, p := range from {
		miss[i] = h.At(p.X, p.Y).Distance(to[i])
	}
	limit := s.p.Chart.MostMiss*robust.Median(miss) + s.p.Chart.MissSlack
	var f, t []geometry.Point
	for i := range from {
		if miss[i] <= limit {
			f, t = append(f, from[i]), append(t, to[i])
		}
	}
	if len(f) == len(from) || len(f) < s.p.Chart.LeastPoints {
		return h, nil
	}
	return geometry.FitHomography(f, t)
}

// sample returns the colours of the patches' middles.
func (s *chartSearch) sample(h geometry.Homography) *[24][axes]float64 {
	l := s.flat.Level
	reach := s.p.Chart.Sample
	var c [24][axes]float64
	for n := range c {
		var y, u, v float64
		for j := range patchProbes {
			for i := range patchProbes {
				p := h.At(float64(n%6)+reach*(float64(i)/2-1), float64(n/6)+reach*(float64(j)/2-1))
				at := l.At(p.X, p.Y)
				y, u, v = y+float64(l.Y[at]), u+float64(l.U[at]), v+float64(l.V[at])
			}
		}
		const k = 1.0 / (patchProbes * patchProbes)
		c[n] = axesOf(s.tones.Tone(y*k, u*k, v*k, s.matrix))
	}
	return &c
}
