package detect

import (
	"cmp"
	"math"
	"slices"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A Chart is a 24-patch colour rendition chart as found. Corners bound the grid of patches, half a
// pitch beyond the outer centres, from dark skin over bluish green and black to white.
type Chart struct {
	Detection
	Edition Edition // whose published values were used
	Patches [24]Patch
	Line    Line
	Doubt   *Doubt // nil if the neutrals lie as the curve says, or too few can be judged
	// WhiteBalance is how far R, G and B of the neutrals lie over their mean, in stops.
	WhiteBalance [3]curve.Stops
	// Across and Down are the stops by which the light changes from the first column to the
	// last and from the first row to the last, 0 where it cannot be told from even.
	Across, Down curve.Stops
	Explained    curve.Share // share of the patches' variance that the published colours explain
}

// readCharts measures the charts that were sighted, each once.
func readCharts(t *meter, s *search, opt Options) (found []Chart) {
	seen := slices.DeleteFunc(s.charts, func(one chartView) bool { return one.confidence() < float64(opt.Doubtful) })
	slices.SortStableFunc(seen, func(a, b chartView) int { return cmp.Compare(b.merit(), a.merit()) })
	for len(seen) > 0 {
		first := gridOutline(seen[0].grid)
		var same, others []chartView
		for _, one := range seen {
			if overlapsAny(gridOutline(one.grid), []geometry.Quad{first}) {
				same = append(same, one)
			} else {
				others = append(others, one)
			}
		}
		best := s.settled(t, same)
		if c := readChart(t, &best, opt); c.Confidence >= opt.Doubtful {
			found = append(found, c)
		}
		seen = others
	}
	slices.SortStableFunc(found, func(a, b Chart) int { return cmp.Compare(b.Confidence, a.Confidence) })
	return found
}

// settled refines the sightings of one chart, the better first, and returns the one whose patches
// are the most uniform. Those that lie where one lies already are passed over.
func (s *search) settled(t *meter, same []chartView) chartView {
	const most, apart = 6, 0.1 // places, two a try; pitches
	l, corner := s.viewOf(t, same[0].grid)
	onto := func(g geometry.Homography) geometry.Homography { return g.Plus(corner.Scale(-1)).Times(1 / l.scale) }
	edge := edgeOf(l, onto(same[0].grid))
	var none [24]bool
	best, least := same[0], math.Inf(1)
	var tried []geometry.Quad
	for _, one := range same {
		grid := onto(one.grid)
		q := gridOutline(grid)
		near := slices.ContainsFunc(tried, func(o geometry.Quad) bool { return q.Farthest(o) < apart*q.Side(0)/6 })
		if near || len(tried) >= most {
			continue
		}
		tried = append(tried, q)
		grid = refined(l, grid, &one.match.odd, edge)
		tried = append(tried, gridOutline(grid))
		if u := uneven(l, grid, &none, edge); u < least {
			one.grid = grid.Times(l.scale).Plus(corner)
			best, least = one, u
		}
	}
	return best
}

// worth is what a line is worth as evidence of placement: nothing without a neutral, less with so
// few that the curve cannot be judged.
func (l Line) worth() float64 {
	switch {
	case l.Used == 0:
		return 0
	case l.Used < 3:
		return 0.7
	}
	return 1
}

// leaveOutGlare marks neutrals that stand off the colours of the rest by being brighter.
func leaveOutGlare(p *[24]Patch, m *match) {
	const lifted = 0.15 // stops
	for i := firstNeutral; i < 24; i++ {
		if m.odd[i] && m.residual[i][0] > lifted {
			p[i].Why = "glare"
		}
	}
}

// viewOf returns the coarsest level that shows the patches of a grid large enough and where its
// corner lies in the frame; of a small chart it is the frame itself, as much as is around it.
func (s *search) viewOf(t *meter, grid geometry.Homography) (*level, geometry.Point) {
	const enough = 9 // pixels from patch to patch
	pitch := math.Min(grid.At(2, 1).Distance(grid.At(3, 1)), grid.At(2, 1).Distance(grid.At(2, 2)))
	if pitch < enough*s.levels[0].scale {
		return closeUp(t.frame, t.reading, t.matrix, gridOutline(grid).Grow(pitch).Bounds())
	}
	best := s.levels[0]
	for _, l := range s.levels {
		if pitch/l.scale >= enough {
			best = l
		}
	}
	return best, geometry.Point{}
}

// merit prefers sightings that explain more, leave out less and saw more patches.
func (s *chartView) merit() float64 {
	m := s.match.explained - 0.02*float64(24-s.match.used) + 0.004*float64(s.nodes)
	if s.spots {
		m -= 0.1
	}
	return m
}

// confidence is 0.5 at the share of variance that chance grids never reach and 1 where prints and
// phone pictures lie (0.85 and up), less a little for every patch beyond three left out.
func (s *chartView) confidence() float64 {
	c := 0.5 + 0.5*(s.match.explained-leastExplained)/(0.88-leastExplained)
	c -= 0.05 * math.Max(float64(24-s.match.used)-3, 0)
	return math.Min(math.Max(c, 0), 1)
}

// overlapsAny reports whether a quad's centre lies in one of others or the other way round.
func overlapsAny(q geometry.Quad, others []geometry.Quad) bool {
	for _, o := range others {
		if o.Contains(q.Centre()) || q.Contains(o.Centre()) {
			return true
		}
	}
	return false
}

func readChart(t *meter, s *chartView, opt Options) Chart {
	c := Chart{Edition: opt.Edition, Explained: curve.Share(s.match.explained)}
	c.Corners = gridOutline(s.grid)
	c.Patches = measurePatches(t, s.grid, opt.Edition)
	across, down := unevenLight(t.matrix, &c.Patches, opt.Edition, s.match.odd)
	leaveOutGlare(&c.Patches, &s.match)
	if !borneOut(&c.Patches, across) {
		across, down = 0, 0 // both come of one fit
	}
	c.Across, c.Down = curve.Stops(5*across), curve.Stops(3*down)
	c.Line = judgeNeutrals(&c.Patches, across)
	c.Confidence = curve.Ratio(s.confidence() * c.Line.worth())
	c.Stops, c.Error = c.Line.Offset, c.Line.Error
	c.Doubt = doubt(&c.Patches, c.Line, t.reading, across)
	c.WhiteBalance = whiteBalance(&c.Patches)
	c.setRegion(s.grid)
	return c
}

// setRegion takes the used neutral closest to 18 %.
func (c *Chart) setRegion(grid geometry.Homography) {
	best := neutral5
	for i := firstNeutral; i < 24; i++ {
		if !c.Patches[best].Used || c.Patches[i].Used && math.Abs(c.Patches[i].published()) < math.Abs(c.Patches[best].published()) {
			best = i
		}
	}
	q := grid.Cell(float64(best%6), float64(best/6), 0.3)
	c.Region = q.InnerRectangle()
	c.RegionStops = c.Patches[best].Published
}

// whiteBalance is the median over the used neutrals.
func whiteBalance(p *[24]Patch) (wb [3]curve.Stops) {
	var stops [3][]float64
	for i := firstNeutral; i < 24; i++ {
		if p[i].Used {
			b := p[i].Light.balance()
			for k := range b {
				stops[k] = append(stops[k], float64(b[k]))
			}
		}
	}
	if len(stops[0]) == 0 {
		return wb
	}
	for k := range wb {
		wb[k] = curve.Stops(median(stops[k]))
	}
	return wb
}
