package analyze

import (
	"fmt"
	"image"
	"math"
	"sort"
	"strings"

	"stopledger/analyze/find"
	"stopledger/curve"
	"stopledger/decode"
)

// Evidence of where grey is, best first: an area the user points at, a chart, a card, a face,
// the scene's average.
var evidenceOrder = []string{"region", "chart", "card", "face", "scene"}

const (
	// agreeStops is how far detections of one thing may lie from their median: a card turned in
	// the hand moves by 0.1 to 0.3 stop (common practice, no source).
	agreeStops = 0.3
	// loneWorth is what a detection is worth that no other frame repeats, although others were
	// looked at: a card may be shown once, but what is mistaken for one rarely lasts.
	loneWorth = 0.8
	// sureEnough is the confidence from which evidence may be the ground for a correction.
	sureEnough = 0.5
)

// A sighting is one detection in one frame.
type sighting struct {
	find.Detection
	t     float64
	chart *find.Chart
}

// look searches a frame for grey, unless the user says where it is.
func (m *measurement) look(f *decode.Frame) {
	if m.set.Grey == "scene" || m.set.Grey == "region" || len(m.set.Patches) > 0 && m.set.Grey != "chart" && m.set.Grey != "card" && m.set.Grey != "face" {
		return
	}
	m.looked++
	found := find.Look(f, m.set.Reading, m.set.Matrix, find.Options{Edition: m.set.edition(), Reflectance: m.set.Reflectance,
		RotationDeg: m.info.RotationDeg, SkipFaces: m.set.Grey != "auto" && m.set.Grey != "" && m.set.Grey != "face"})
	for i := range found.Charts {
		c := &found.Charts[i]
		m.sighted("chart", sighting{c.Detection, f.Time, c})
	}
	for _, c := range found.Cards {
		m.sighted("card", sighting{c.Detection, f.Time, nil})
	}
	for _, c := range found.Faces {
		m.sighted("face", sighting{c.Detection, f.Time, nil})
	}
}

// sighted keeps the surest detection of each kind in a frame.
func (m *measurement) sighted(kind string, s sighting) {
	if m.sightings == nil {
		m.sightings = map[string][]sighting{}
	}
	all := m.sightings[kind]
	if n := len(all); n > 0 && all[n-1].t == s.t {
		if s.Confidence > all[n-1].Confidence {
			all[n-1] = s
		}
		return
	}
	m.sightings[kind] = append(all, s)
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
	for kind, all := range m.sightings {
		found[kind] = m.agreed(kind, all)
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
		return "skin is not grey: light skin about a stop over 18 %, medium 0 to 0.7 over, dark 0.5 to 1.5 under (common practice)"
	case "scene":
		return "average level of the frame"
	}
	return ""
}

// agreed merges the detections of one kind over the clip: those that agree with their median
// give the value, and how many frames repeat it the confidence.
func (m *measurement) agreed(kind string, all []sighting) *Placement {
	middle := medianStops(all)
	var agree []sighting
	for _, s := range all {
		if math.Abs(s.Stops-middle) <= agreeStops {
			agree = append(agree, s)
		}
	}
	if len(agree) == 0 {
		return nil
	}
	sort.Slice(agree, func(i, j int) bool { return agree[i].t < agree[j].t })
	best := agree[0]
	var confidence, errorSq float64
	p := &Placement{Method: kind, Stops: medianStops(agree), Reflectance: m.set.Reflectance, Weak: kind == "face" && !m.set.FaceIsGrey}
	for _, s := range agree {
		confidence += s.Confidence / float64(len(agree))
		errorSq += s.Error * s.Error / float64(len(agree))
		p.Series = append(p.Series, StopsAt{s.t, s.Stops})
		if s.Confidence > best.Confidence {
			best = s
		}
	}
	if kind == "chart" {
		p.Reflectance = curve.MidGrey
	}
	p.Confidence = confidence
	if len(agree) == 1 && m.looked > 2 {
		p.Confidence *= loneWorth
	}
	p.Code = m.set.Reading.CodeOf(curve.FromStops(p.Stops + math.Log2(p.Reflectance/curve.MidGrey)))
	p.Area, p.Chart = best.Region, best.chart
	for _, corner := range best.Corners {
		p.Corners = append(p.Corners, image.Pt(int(math.Round(corner.X)), int(math.Round(corner.Y))))
	}
	p.interval(math.Sqrt(errorSq))
	return p
}

func medianStops(all []sighting) float64 {
	stops := make([]float64, len(all))
	for i, s := range all {
		stops[i] = s.Stops
	}
	return median(stops)
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
