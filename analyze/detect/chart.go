package detect

import (
	"cmp"
	"math"
	"slices"

	"stopledger/analyze/robust"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A Chart is a 24-patch colour rendition chart as found. Corners bound the grid of patches, half a
// pitch beyond the outer centres, from dark skin over bluish green and black to white.
type Chart struct {
	Detection
	Edition Edition   // whose published values were used
	Patches [24]Patch // by rows of six, from dark skin to black
	Line    Line      // how its neutrals lie
	Doubt   *Doubt    // nil if the neutrals lie as the curve says, or too few can be judged
	// WhiteBalance is how far R, G and B of the neutrals lie over their mean, in stops.
	WhiteBalance [3]curve.Stops
	// Across and Down are the stops by which the light changes from the first column to the
	// last and from the first row to the last, 0 where it cannot be told from even.
	Across, Down curve.Stops
	Explained    curve.Share // share of the patches' variance that the published colours explain
}

// readCharts measures the charts that were seen, each once.
func (s *scan) readCharts(seen []chartView) (found []Chart) {
	p := &s.p.Chart
	seen = slices.DeleteFunc(seen, func(one chartView) bool { return s.opt.doubtful(curve.Ratio(one.confidence(p))) })
	slices.SortStableFunc(seen, func(a, b chartView) int { return cmp.Compare(b.merit(p), a.merit(p)) })
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
		best := s.settled(same)
		if c := s.readChart(&best); !s.opt.doubtful(c.Confidence) {
			found = append(found, c)
		}
		seen = others
	}
	slices.SortStableFunc(found, func(a, b Chart) int { return cmp.Compare(b.Confidence, a.Confidence) })
	return found
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

func (s *scan) readChart(v *chartView) Chart {
	e, p := s.opt.Edition, s.p
	c := Chart{Edition: e, Explained: curve.Share(v.match.explained)}
	c.Corners = gridOutline(v.grid)
	c.Patches = measurePatches(s.meter, v.grid, e, p.Chart.Sample)
	across, down := unevenLight(s.matrix, &c.Patches, e, v.match.odd, &p.Neutrals)
	leaveOutGlare(&c.Patches, &v.match, p.Neutrals.GlareStops)
	r := neutralRow{&c.Patches, across, &p.Neutrals}
	if !r.borneOut() {
		r.across, down = 0, 0 // both come of one fit
	}
	c.Across, c.Down = curve.Stops(5*r.across), curve.Stops(3*down)
	c.Line = r.judge()
	c.Confidence = curve.Ratio(v.confidence(&p.Chart) * c.Line.worth(&p.Chart))
	c.Stops, c.Error = c.Line.Offset, c.Line.Error
	c.Doubt = r.doubt(c.Line, s.meter.reading, &p.Doubt)
	c.WhiteBalance = whiteBalance(&c.Patches, p.Flat.DeepestTone)
	c.setRegion(v.grid, p.Chart.Region)
	return c
}

// leaveOutGlare marks neutrals that stand off the colours of the rest by being brighter.
func leaveOutGlare(p *[24]Patch, m *match, stops float64) {
	for i := firstNeutral; i < 24; i++ {
		if m.odd[i] && m.residual[i][0] > stops {
			p[i].Why = glared
		}
	}
}

// setRegion takes the used neutral closest to 18 %, reach pitches to either side of its centre.
func (c *Chart) setRegion(grid geometry.Homography, reach float64) {
	best := neutral5
	for i := firstNeutral; i < 24; i++ {
		nearer := math.Abs(c.Patches[i].published()) < math.Abs(c.Patches[best].published())
		if !c.Patches[best].Used || c.Patches[i].Used && nearer {
			best = i
		}
	}
	q := grid.Cell(float64(best%6), float64(best/6), reach)
	c.Region = q.InnerRectangle()
	c.RegionStops = c.Patches[best].Published
}

// whiteBalance is the median over the used neutrals.
func whiteBalance(p *[24]Patch, deepest float64) (wb [3]curve.Stops) {
	var stops [3][]float64
	for i := firstNeutral; i < 24; i++ {
		if p[i].Used {
			for k, b := range p[i].Light.balance(deepest) {
				stops[k] = append(stops[k], float64(b))
			}
		}
	}
	if len(stops[0]) == 0 {
		return wb
	}
	for k := range wb {
		wb[k] = curve.Stops(robust.Median(stops[k]))
	}
	return wb
}
