package analyze

import (
	"fmt"
	"image"
	"math"
	"strings"

	"stopledger/analyze/find"
	"stopledger/curve"
	"stopledger/decode"
)

// Evidence of where grey is, best first: an area the user points at, a chart, a card, a face,
// the scene's average.
var evidenceOrder = []string{"region", "chart", "card", "face", "scene"}

// sureEnough is the confidence from which evidence may be the ground for a correction.
const sureEnough = 0.6

// A grey card lies near the average of the scene it was shot in: it is sure down to lowerSure
// stops under the scene's log-average, where black cloth would be, and never taken lowerNever
// under it. Upward, where a lit card in the night lies, there is more room. Common practice, no
// source.
const (
	lowerSure, lowerNever = 2.5, 4.0
	upperSure, upperNever = 5.0, 7.0
)

// look searches a frame for grey, unless the user says where it is.
func (m *measurement) look(f *decode.Frame) {
	switch m.set.Grey {
	case "scene", "region":
		return
	case "", "auto":
		if len(m.set.Patches) > 0 {
			return
		}
	}
	skipFaces := m.set.Grey == "chart" || m.set.Grey == "card"
	m.found = append(m.found, find.Look(f, m.set.Reading, m.set.Matrix, find.Options{Edition: m.set.edition(),
		Reflectance: m.set.Reflectance, RotationDeg: m.info.RotationDeg, SkipFaces: skipFaces}))
}

// edition returns the chart's edition by its year.
func (s Settings) edition() find.Edition {
	switch s.Edition {
	case "1976":
		return find.Edition1976
	case "2014":
		return find.EditionNov2014
	}
	return find.Edition2005
}

// placement gathers all evidence and returns the best, with the rest as candidates. It is nil
// where what was asked for was not found.
func (m *measurement) placement() *Placement {
	found := map[string]*Placement{"scene": measureScene(m.groups, m.set)}
	if len(m.set.Patches) > 0 {
		found["region"] = measurePatch(m.groups, m.set, m.table)
	}
	for _, e := range find.Agree(m.found) {
		p := m.seen(e, found["scene"].Stops)
		if best := found[p.Method]; best == nil || p.Confidence > best.Confidence {
			found[p.Method] = p
		}
	}
	best := m.best(found)
	if best == nil {
		return nil
	}
	for _, kind := range evidenceOrder {
		if p := found[kind]; p != nil {
			best.Candidates = append(best.Candidates, Candidate{Method: kind, Stops: p.Stops, Confidence: sureness(p),
				Area: p.Area, Used: p == best, Note: note(kind)})
		}
	}
	return best
}

// best picks the evidence to go by.
func (m *measurement) best(found map[string]*Placement) *Placement {
	if m.set.Grey != "" && m.set.Grey != "auto" {
		return found[m.set.Grey]
	}
	for _, kind := range evidenceOrder {
		if p := found[kind]; p != nil && (kind == "region" || kind == "scene" || sureness(p) >= sureEnough) {
			return p
		}
	}
	return nil
}

// sureness is the confidence in 0..1; an area the user gave is sure.
func sureness(p *Placement) float64 {
	if math.IsNaN(p.Confidence) {
		return 1
	}
	return p.Confidence
}

func note(kind string) string {
	switch kind {
	case "face":
		return find.SkinExpectation + " (common practice)"
	case "scene":
		return "average level of the frame"
	}
	return ""
}

// seen turns what frames agree on into a placement. scene is the log-average of the clip.
func (m *measurement) seen(e find.Evidence, scene float64) *Placement {
	p := &Placement{Method: e.Kind.String(), Stops: e.Stops, Reflectance: m.set.Reflectance,
		Confidence: e.Confidence, Area: e.Best.Region, Chart: e.Best.Chart}
	reads := e.Stops + math.Log2(m.set.Reflectance/curve.MidGrey)
	switch e.Kind {
	case find.ChartKind:
		p.Reflectance, reads = curve.MidGrey, e.Stops
	case find.CardKind:
		p.Confidence *= likely(reads-scene) * m.shown(e)
	case find.FaceKind:
		// A face reads what skin is; the user may say what it reflects.
		reads = e.Stops
		p.Stops = e.Stops - math.Log2(m.set.Reflectance/curve.MidGrey)
		p.Weak = !m.set.FaceIsGrey
	}
	for _, s := range e.Sightings {
		p.Series = append(p.Series, StopsAt{s.Time, s.Stops + p.Stops - e.Stops})
	}
	for _, corner := range e.Best.Corners {
		p.Corners = append(p.Corners, image.Pt(int(math.Round(corner.X)), int(math.Round(corner.Y))))
	}
	p.Code = m.set.Reading.CodeOf(curve.FromStops(reads))
	p.interval(e.Error)
	return p
}

// likely is how plausible a card is that reads so many stops over the scene's log-average.
func likely(over float64) float64 {
	falls := func(x, sure, never float64) float64 { return min(max((never-x)/(never-sure), 0), 1) }
	if over < 0 {
		return falls(-over, lowerSure, lowerNever)
	}
	return falls(over, upperSure, upperNever)
}

// A card is shown to be measured: it fills part of the picture or stays in it. Something small and
// grey that is taken for one in a few frames of many is a roof or a window. Common practice, no
// source.
const (
	rareNever, rareSure   = 0.25, 0.5   // share of the frames searched
	smallNever, smallSure = 0.005, 0.02 // share of the picture
)

// shown is how much what frames agree on looks like a card that is shown.
func (m *measurement) shown(e find.Evidence) float64 {
	rises := func(x, never, sure float64) float64 { return min(max((x-never)/(sure-never), 0), 1) }
	c := e.Best.Corners
	across, down := c[2].X-c[0].X, c[2].Y-c[0].Y
	area := math.Abs(across*(c[3].Y-c[1].Y)-down*(c[3].X-c[1].X)) / 2
	often := float64(len(e.Sightings)) / float64(len(m.found))
	large := area / float64(m.grid.width*m.grid.height)
	return max(rises(often, rareNever, rareSure), rises(large, smallNever, smallSure))
}

// chartDoubt turns a chart's doubt into a finding.
func (m *measurement) chartDoubt(p *Placement) *Finding {
	if p == nil || p.Chart == nil || p.Chart.Doubt == nil {
		return nil
	}
	d, line := p.Chart.Doubt, p.Chart.Line
	switch d.Kind {
	case find.StrayLight:
		return &Finding{"flare", Caution, fmt.Sprintf("Stray light lies over the chart, about %.1f %% of a white's: the shadows are lifted by it, and placement is less sure.", 100*d.Flare)}
	case find.WrongCurve:
		text := fmt.Sprintf("The chart's greys lie on a line of slope %.2f instead of 1: the curve or range is probably another", line.Slope)
		var names []string
		for _, c := range d.Candidates[:min(3, len(d.Candidates))] {
			names = append(names, c.Reading.Curve.Name)
		}
		if len(names) > 0 {
			text += "; " + strings.Join(names, ", ") + " would fit"
		}
		return &Finding{"curve-doubt", Alarm, text + "."}
	}
	return &Finding{"curve-doubt", Caution, fmt.Sprintf("The chart's greys do not lie on a straight line (%.2f stops off): curve, range or lighting is in doubt.", line.Residual)}
}
