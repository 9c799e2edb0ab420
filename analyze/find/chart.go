package find

import (
	"cmp"
	"image"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
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
	WhiteBalance [3]float64
	// Across and Down are the stops by which the light changes from the first column to the
	// last and from the first row to the last, 0 where it cannot be told from even.
	Across, Down float64
	Explained    float64 // share of the patches' variance that the published colours explain
}

// readCharts measures the best of the sightings of each chart.
func readCharts(t *meter, s *search, opt Options) (found []Chart) {
	seen := s.charts
	slices.SortStableFunc(seen, func(a, b sighting) int { return cmp.Compare(b.merit(), a.merit()) })
	var taken []quad
	for i := range seen {
		one := &seen[i]
		if one.confidence() < opt.Doubtful || overlapsAny(one.grid.outer(), taken) {
			continue
		}
		l := s.levelFor(one.grid)
		grid := one.grid.times(1 / l.scale)
		grid = refined(l, grid)
		one.grid = grid.times(l.scale)
		taken = append(taken, one.grid.outer())
		found = append(found, readChart(t, one, opt))
	}
	return found
}

// levelFor returns the coarsest level that shows the patches of a grid large enough.
func (s *search) levelFor(grid homography) *level {
	const enough = 9 // pixels from patch to patch
	pitch := math.Min(grid.at(2, 1).distance(grid.at(3, 1)), grid.at(2, 1).distance(grid.at(2, 2)))
	best := s.levels[0]
	for _, l := range s.levels {
		if pitch/l.scale >= enough {
			best = l
		}
	}
	return best
}

// merit prefers sightings that explain more, leave out less and saw more patches.
func (s *sighting) merit() float64 {
	m := s.match.explained - 0.02*float64(24-s.match.used) + 0.004*float64(s.nodes)
	if s.spots {
		m -= 0.1
	}
	return m
}

// confidence is 0.5 at the share of variance that chance grids never reach and 1 where prints and
// phone pictures lie (0.85 and up), less a little for every patch beyond three left out.
func (s *sighting) confidence() float64 {
	c := 0.5 + 0.5*(s.match.explained-leastExplained)/(0.88-leastExplained)
	c -= 0.05 * math.Max(float64(24-s.match.used)-3, 0)
	return math.Min(math.Max(c, 0), 1)
}

// overlapsAny reports whether a quad's centre lies in one of others or the other way round.
func overlapsAny(q quad, others []quad) bool {
	for _, o := range others {
		if o.contains(q.centre()) || q.contains(o.centre()) {
			return true
		}
	}
	return false
}

func readChart(t *meter, s *sighting, opt Options) Chart {
	c := Chart{Edition: opt.Edition, Explained: s.match.explained}
	c.Corners = s.grid.outer()
	c.Confidence = s.confidence()
	c.Patches = measurePatches(t, &s.grid, opt.Edition)
	across, down := unevenLight(&c.Patches, s.match.odd)
	c.Across, c.Down = 5*across, 3*down
	c.Line = judgeNeutrals(&c.Patches, across)
	c.Stops, c.Error = c.Line.Offset, c.Line.Error
	c.Doubt = doubt(&c.Patches, c.Line, t.reading, across)
	c.WhiteBalance = whiteBalance(&c.Patches)
	c.setRegion(&s.grid)
	return c
}

// setRegion takes the used neutral closest to 18 %.
func (c *Chart) setRegion(grid *homography) {
	best := neutral5
	for i := firstNeutral; i < 24; i++ {
		if !c.Patches[best].Used || c.Patches[i].Used && math.Abs(c.Patches[i].Published) < math.Abs(c.Patches[best].Published) {
			best = i
		}
	}
	q := grid.cell(float64(best%6), float64(best/6), 0.3)
	c.Region = q.innerRectangle()
	c.RegionStops = c.Patches[best].Published
}

// whiteBalance is the median over the used neutrals.
func whiteBalance(p *[24]Patch) (wb [3]float64) {
	var stops [3][]float64
	for i := firstNeutral; i < 24; i++ {
		if p[i].Used {
			b := p[i].Light.balance()
			for k := range b {
				stops[k] = append(stops[k], b[k])
			}
		}
	}
	if len(stops[0]) == 0 {
		return wb
	}
	for k := range wb {
		wb[k] = median(stops[k])
	}
	return wb
}

// Light counts as uneven when its slope stands out of its error and would move a neutral.
const (
	unevenErrors = 3
	leastUneven  = 0.08 // stops over the whole chart
)

// unevenLight fits measured stops = gain x published + level + across u + down v to all patches that
// are not odd, and returns the two slopes in stops from patch to patch where they are sure.
func unevenLight(p *[24]Patch, odd [24]bool) (across, down float64) {
	var rows []int
	for i := range p {
		if !odd[i] && p[i].Light.Clipped <= mostClipped && p[i].Measured > darkestNeutral {
			rows = append(rows, i)
		}
	}
	const unknowns = 4
	if len(rows) < 12 {
		return 0, 0
	}
	a, b := mat.NewDense(len(rows), unknowns, nil), mat.NewVecDense(len(rows), nil)
	for r, i := range rows {
		a.SetRow(r, []float64{p[i].Published, 1, float64(i%6) - 2.5, float64(i/6) - 1.5})
		b.SetVec(r, p[i].Measured)
	}
	var x, left mat.VecDense
	var normal, inverse mat.Dense
	normal.Mul(a.T(), a)
	if x.SolveVec(a, b) != nil || inverse.Inverse(&normal) != nil {
		return 0, 0
	}
	left.MulVec(a, &x)
	left.SubVec(&left, b)
	variance := mat.Dot(&left, &left) / float64(len(rows)-unknowns)
	sure := func(k int, steps float64) float64 {
		slope, err := x.AtVec(k), math.Sqrt(variance*inverse.At(k, k))
		if math.Abs(slope) < unevenErrors*err || math.Abs(slope)*steps < leastUneven {
			return 0
		}
		return slope
	}
	return sure(2, 5), sure(3, 3)
}

// rectangleOf is the smallest upright rectangle round a detection.
func (d *Detection) rectangle() image.Rectangle { return quad(d.Corners).bounds() }
