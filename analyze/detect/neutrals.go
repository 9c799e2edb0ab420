package detect

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A Patch is one patch of a chart as measured.
type Patch struct {
	Name      string         `json:"name"`            // as published
	Centre    geometry.Point `json:"-"`               // in the frame
	Light     Light          `json:"-"`               // of its middle
	Published curve.Stops    `json:"published_stops"` // of its published luminance over 18 %
	Measured  curve.Stops    `json:"measured_stops"`  // recorded; -Inf without light
	Residual  curve.Stops    `json:"residual_stops"`  // measured less the neutrals' line; for colours only a hint
	Used      bool           `json:"used"`            // part of the line
	Why       string         `json:"-"`               // why a neutral was not used: glare, clipped, too dark, off the line
}

// A Line is how the neutrals lie: measured stops = Offset + Slope x published stops.
type Line struct {
	Slope    curve.Ratio // 1 for the right curve
	Offset   curve.Stops // where 18 % reads, recorded
	Residual curve.Stops // root mean square of the patches used
	Error    curve.Stops // one standard error of Offset
	Used     int         // neutrals on the line; with fewer than 3 the slope is taken as 1
}

const (
	tooDark = "too dark"
	// darkestNeutral, in recorded stops: below, a curve's foot and flare speak.
	darkestNeutral = -4
	// mostClipped is the share of clipped pixels a neutral may have.
	mostClipped = 0.01
	// offLine is how far a neutral may stand from the line of the others, in stops: editions
	// differ by 0.05, sheen and flare move more.
	offLine = 0.06
	// wellBelow is how far under a line a neutral must lie to speak against it, in stops.
	wellBelow = 0.12
	// leastSlope and mostSlope bound what one curve read as another can make of the line.
	leastSlope, mostSlope = 0.45, 2.0
	// editionSpread is how far the editions' values of one patch lie apart, in stops, as a
	// standard deviation; it bounds how well any chart is known.
	editionSpread = 0.02
)

// judgeNeutrals marks which of the six neutrals are usable, apart from those that have a Why
// already, and fits their line. acrossStops is the
// light's slope from one column to the next, which is taken off first; the line then holds for
// the middle of the row.
func judgeNeutrals(p *[24]Patch, acrossStops float64) Line {
	markUsable(p)
	agree(p, acrossStops)
	line := fitLine(p, acrossStops)
	for i := range p {
		p[i].Residual = curve.Stops(p[i].level(i, acrossStops) - float64(line.Offset) - float64(line.Slope)*p[i].published())
	}
	return line
}

// borneOut reports whether a slope of the light stands with the neutrals: not where more of them agree
// if the light is taken as even. Much glare over colours looks like a slope.
func borneOut(p *[24]Patch, across float64) bool {
	sloped, even := *p, *p
	markUsable(&sloped)
	markUsable(&even)
	return agree(&even, 0) <= agree(&sloped, across)
}

func markUsable(p *[24]Patch) {
	for i := firstNeutral; i < 24; i++ {
		n := &p[i]
		n.Used = false
		switch {
		case n.Why != "":
		case n.Light.Clipped > mostClipped:
			n.Why = "clipped"
		case !(n.Measured > darkestNeutral):
			n.Why = tooDark
		default:
			n.Used = true
		}
	}
}

// agree keeps, of the usable neutrals, those on the line that explains most. A line of slope 1 may go
// through any patch; one of another slope goes through two and must hold one patch more, as three
// that glare lifted may lie on one by chance. Glare only adds light: a line that leaves a patch
// well below it counts for less, and among equals the lower wins. The best line's score is returned.
func agree(p *[24]Patch, across float64) (best float64) {
	best, low := math.Inf(-1), math.Inf(1)
	var kept [24]bool
	try := func(slope, offset, cost float64) {
		on, score := neutralsOn(p, across, slope, offset)
		if score -= cost; score > best || score == best && offset < low {
			best, low, kept = score, offset, on
		}
	}
	for i := firstNeutral; i < 24; i++ {
		if !p[i].Used {
			continue
		}
		try(1, p[i].level(i, across)-p[i].published(), 0)
		for j := i + 1; j < 24; j++ {
			slope := (p[i].level(i, across) - p[j].level(j, across)) / (p[i].published() - p[j].published())
			if p[j].Used && slope >= leastSlope && slope <= mostSlope {
				try(slope, p[i].level(i, across)-slope*p[i].published(), 1)
			}
		}
	}
	for i := firstNeutral; i < 24; i++ {
		if p[i].Used && !kept[i] {
			p[i].Used, p[i].Why = false, "off the line"
		}
	}
	return best
}

// neutralsOn marks the usable neutrals on a line and scores it: one for each, less one if it leaves
// another below it. The lightest may have clipped unnoticed, so it is not held against a line.
func neutralsOn(p *[24]Patch, across, slope, offset float64) (on [24]bool, score float64) {
	below := 0.0
	for i := firstNeutral; i < 24; i++ {
		off := p[i].level(i, across) - offset - slope*p[i].published()
		switch {
		case p[i].Used && math.Abs(off) <= offLine:
			on[i] = true
			score++
		case i > firstNeutral && off < -wellBelow && (p[i].Used || p[i].Why == tooDark && off < -4*wellBelow):
			below = 1
		}
	}
	return on, score - below
}

// level is a patch's measured stops as they would be in the middle of the row.
func (p *Patch) level(patch int, across float64) float64 {
	return float64(p.Measured) - across*(float64(patch%6)-2.5)
}

// published returns the published stops as a plain number, for the fits.
func (p *Patch) published() float64 { return float64(p.Published) }

// fitLine fits the used neutrals, each weighted by how well it was measured.
func fitLine(p *[24]Patch, across float64) Line {
	var x, y, w []float64
	for i := firstNeutral; i < 24; i++ {
		if p[i].Used {
			x = append(x, p[i].published())
			y = append(y, p[i].level(i, across))
			w = append(w, 1/(editionSpread*editionSpread+sq(p[i].Light.stopsError())))
		}
	}
	return weightedLine(x, y, w)
}

func weightedLine(x, y, w []float64) Line {
	if len(x) == 0 {
		return Line{Slope: 1, Offset: curve.Unknown[curve.Stops](), Error: curve.Stops(math.Inf(1))}
	}
	slope, offset := 1.0, 0.0
	if len(x) >= 3 {
		offset, slope = stat.LinearRegression(x, y, w, false)
	} else {
		offset = stat.Mean(y, w) - stat.Mean(x, w)
	}
	var left, total float64
	for i := range x {
		left += w[i] * sq(y[i]-offset-slope*x[i])
		total += w[i]
	}
	residual := math.Sqrt(left / total)
	n := float64(len(x))
	known := math.Sqrt(1/total + residual*residual/math.Max(n-2, 1) + editionSpread*editionSpread)
	return Line{curve.Ratio(slope), curve.Stops(offset), curve.Stops(residual), curve.Stops(known), len(x)}
}

// stopsError returns one standard error of the mean light, in stops.
func (l Light) stopsError() float64 {
	if !(l.Luma > 0) {
		return 1
	}
	return math.Min(float64(l.Spread)/(float64(l.Luma)*math.Ln2*math.Sqrt(float64(l.Pixels))), 1)
}

func sq(x float64) float64 { return x * x }

// measurePatches reads all patches of a chart.
func measurePatches(t *meter, grid geometry.Homography, e Edition) (p [24]Patch) {
	// 0.2 of the pitch each way is the middle 44 % of a patch.
	const reach = 0.2
	for i := range p {
		u, v := float64(i%6), float64(i/6)
		light := t.over(grid.Cell(u, v, reach))
		p[i] = Patch{Name: patchNames[i], Centre: grid.At(u, v), Light: light,
			Published: curve.Light(e.Luminance(i)).Stops(), Measured: light.Stops()}
	}
	return p
}
