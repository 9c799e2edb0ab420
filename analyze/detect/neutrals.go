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
	Why       string         `json:"-"`               // why a neutral was not used, see below
}

// A Line is how the neutrals lie: measured stops = Offset + Slope x published stops.
type Line struct {
	Slope    curve.Ratio // 1 for the right curve
	Offset   curve.Stops // where 18 % reads, recorded
	Residual curve.Stops // root mean square of the patches used
	Error    curve.Stops // one standard error of Offset
	Used     int         // neutrals on the line; with fewer than 3 the slope is taken as 1
	Disagree bool        // most that can be read lie off it, or off any: all are used where they stand in order
}

// LeastNeutrals is how many neutrals must agree for a chart to tell where grey is: two always lie on a
// line.
const LeastNeutrals = 3

// Whys of a neutral that is not used.
const (
	glared  = "glare"
	clipped = "clipped"
	tooDark = "too dark"
	offLine = "off the line"
)

// worth is what a line is worth as evidence of placement: nothing without a neutral, less with so
// few that the curve cannot be judged.
func (l Line) worth(p *ChartParams) float64 {
	switch {
	case l.Used == 0:
		return 0
	case l.Used < LeastNeutrals:
		return p.FewWorth
	}
	return 1
}

// offSlope is how far a line's slope lies from the right curve's.
func offSlope(l Line) float64 { return math.Abs(float64(l.Slope - 1)) }

// A neutralRow is the neutrals of a chart, the last six of its patches, in light that slopes by across stops
// from one column to the next; the line of a row holds for its middle.
type neutralRow struct {
	patches *[24]Patch
	across  float64
	p       *NeutralParams
}

// judge marks which neutrals are usable, apart from those that have a Why already, and fits their line.
func (r neutralRow) judge() Line {
	r.markUsable()
	r.agree()
	r.clipsWithWhite()
	line := r.fitLine()
	if !r.trusted(line) {
		line = r.doubtful(line)
	}
	for i := range r.patches {
		p := &r.patches[i]
		p.Residual = curve.Stops(r.level(i) - float64(line.Offset) - float64(line.Slope)*p.published())
	}
	return line
}

// clipsWithWhite leaves out the second lightest neutral where one of its channels clips too: the lightest lies off the
// line, and above it, but hardly. Else the line would tilt. Enough others must be left.
func (r neutralRow) clipsWithWhite() {
	white, next := &r.patches[firstNeutral], &r.patches[firstNeutral+1]
	apart := r.level(firstNeutral) - r.level(firstNeutral+1)
	near := apart > 0 && apart < r.p.WithWhite*(white.published()-next.published())
	if white.Used || !next.Used || !near || r.used() <= LeastNeutrals {
		return
	}
	next.Used, next.Why = false, clipped
}

// used counts the neutrals on the line.
func (r neutralRow) used() (n int) {
	for i := firstNeutral; i < 24; i++ {
		if r.patches[i].Used {
			n++
		}
	}
	return n
}

// trusted reports whether a line stands for the neutrals that can be read: more than half of them lie
// on it, or three do that lie as the curve says, and the others above them, as glare lifts them. The
// lightest may have clipped unnoticed, so it is not held against a line.
func (r neutralRow) trusted(line Line) bool {
	below := false
	readable := r.readable()
	for _, i := range readable {
		lies := r.level(i) - float64(line.Offset) - float64(line.Slope)*r.patches[i].published()
		below = below || r.patches[i].Why == offLine && lies < 0 && i != firstNeutral
	}
	if line.Used < LeastNeutrals {
		return false
	}
	return 2*line.Used > len(readable) || !below && offSlope(line) <= r.p.GlareSlope
}

// readable lists the neutrals that show what was recorded of them, on the line or not.
func (r neutralRow) readable() (all []int) {
	for i := firstNeutral; i < 24; i++ {
		if p := &r.patches[i]; p.Used || p.Why == offLine {
			all = append(all, i)
		}
	}
	return all
}

// doubtful returns the line of neutrals that do not agree. Where those that can be read stand in
// order, it is another rendering than the curve's that they follow, and all of them count; where they
// do not, something lies over them, and how far they scatter is how little the line is known.
func (r neutralRow) doubtful(line Line) Line {
	white := &r.patches[firstNeutral]
	if white.Why == offLine && r.level(firstNeutral)-r.level(firstNeutral+1) < r.p.OffLine {
		white.Why = clipped // both lightest stand at the top of what a rendering holds
	}
	readable := r.readable()
	if len(readable) >= LeastNeutrals && r.ordered(readable) {
		for _, i := range readable {
			r.patches[i].Used, r.patches[i].Why = true, ""
		}
		line = r.fitLine()
	} else if len(readable) > 1 {
		var off []float64
		for _, i := range readable {
			off = append(off, r.level(i)-r.patches[i].published())
		}
		line.Error = curve.Stops(math.Hypot(float64(line.Error), stat.StdDev(off, nil)))
	}
	line.Disagree = true
	return line
}

// ordered reports whether patches, the lightest first, grow darker from one to the next.
func (r neutralRow) ordered(patches []int) bool {
	for k, i := range patches[1:] {
		if r.level(i) >= r.level(patches[k])-r.p.OffLine {
			return false
		}
	}
	return true
}

// borneOut reports whether a slope of the light stands with the neutrals: not where more of them agree
// if the light is taken as even. Much glare over colours looks like a slope.
func (r neutralRow) borneOut() bool {
	score := func(across float64) float64 {
		patches := *r.patches
		one := neutralRow{&patches, across, r.p}
		one.markUsable()
		return one.agree()
	}
	return score(0) <= score(r.across)
}

func (r neutralRow) markUsable() {
	for i := firstNeutral; i < 24; i++ {
		n := &r.patches[i]
		n.Used = false
		switch {
		case n.Why != "":
		case float64(n.Light.Clipped) > r.p.MostClipped:
			n.Why = clipped
		case !(float64(n.Measured) > r.p.Darkest):
			n.Why = tooDark
		default:
			n.Used = true
		}
	}
}

// agree keeps, of the usable neutrals, those on the line that explains most: a consensus fit over all
// pairs (M. A. Fischler, R. C. Bolles, "Random sample consensus", Communications of the ACM 24, 1981,
// here without chance). A line of slope 1 may go through any patch; one of another slope goes through
// two and must hold one patch more, as three that glare lifted may lie on one by chance. Glare only
// adds light: a line that leaves a patch well below it counts for less, and among equals the lower
// wins. The best line's score is returned.
func (r neutralRow) agree() (best float64) {
	best, low := math.Inf(-1), math.Inf(1)
	var kept [24]bool
	try := func(slope, offset, cost float64) {
		on, score := r.on(slope, offset)
		if score -= cost; score > best || score == best && offset < low {
			best, low, kept = score, offset, on
		}
	}
	p := r.patches
	for i := firstNeutral; i < 24; i++ {
		if !p[i].Used {
			continue
		}
		try(1, r.level(i)-p[i].published(), 0)
		for j := i + 1; j < 24; j++ {
			slope := (r.level(i) - r.level(j)) / (p[i].published() - p[j].published())
			if p[j].Used && slope >= r.p.LeastSlope && slope <= r.p.MostSlope {
				try(slope, r.level(i)-slope*p[i].published(), 1)
			}
		}
	}
	for i := firstNeutral; i < 24; i++ {
		if p[i].Used && !kept[i] {
			p[i].Used, p[i].Why = false, offLine
		}
	}
	return best
}

// on marks the usable neutrals on a line and scores it: one for each, less one if it leaves another
// below it. The lightest may have clipped unnoticed, so it is not held against a line.
func (r neutralRow) on(slope, offset float64) (on [24]bool, score float64) {
	below := 0.0
	for i := firstNeutral; i < 24; i++ {
		p := &r.patches[i]
		off := r.level(i) - offset - slope*p.published()
		switch {
		case p.Used && math.Abs(off) <= r.p.OffLine:
			on[i] = true
			score++
		case i == firstNeutral:
		case p.Used && off < -r.p.WellBelow, p.Why == tooDark && off < -r.p.DarkBelow*r.p.WellBelow:
			below = 1
		}
	}
	return on, score - below
}

// level is a patch's measured stops as they would be in the middle of the row.
func (r neutralRow) level(patch int) float64 {
	return float64(r.patches[patch].Measured) - r.across*(float64(patch%6)-2.5)
}

// published returns the published stops as a plain number, for the fits.
func (p *Patch) published() float64 { return float64(p.Published) }

// fitLine fits the used neutrals by weighted least squares, each by the inverse of the variance with
// which it was measured and published.
func (r neutralRow) fitLine() Line {
	var x, y, w []float64
	for i := firstNeutral; i < 24; i++ {
		if p := &r.patches[i]; p.Used {
			x = append(x, p.published())
			y = append(y, r.level(i))
			w = append(w, 1/(sq(r.p.EditionSpread)+sq(p.Light.stopsError())))
		}
	}
	return weightedLine(x, y, w, r.p.EditionSpread)
}

func weightedLine(x, y, w []float64, spread float64) Line {
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
	known := math.Sqrt(1/total + residual*residual/math.Max(n-2, 1) + spread*spread)
	return Line{Slope: curve.Ratio(slope), Offset: curve.Stops(offset), Residual: curve.Stops(residual),
		Error: curve.Stops(known), Used: len(x)}
}

// measurePatches reads all patches of a chart, reach pitches to either side of their centres.
func measurePatches(t *meter, grid geometry.Homography, e Edition, reach float64) (p [24]Patch) {
	for i := range p {
		u, v := float64(i%6), float64(i/6)
		light := t.over(grid.Cell(u, v, reach))
		p[i] = Patch{Name: patchNames[i], Centre: grid.At(u, v), Light: light,
			Published: curve.Light(e.Luminance(i)).Stops(), Measured: light.Stops()}
	}
	return p
}
