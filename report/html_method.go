package report

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
)

// methodFacts say how a clip was measured: which frames, through which curve, with which
// settings.
func methodFacts(c Clip, s Settings) []keyFigure {
	list := []keyFigure{
		{"Frames", samplingWords(c), ""},
		{"Curve", c.Curve.Name, joinWith(", ", "from the "+c.Curve.Origin, c.Curve.Source)},
		{"Nominal grey", "code " + Code(c.Curve.MidGrey.Code), Percent(c.Curve.MidGrey.Percent)},
		{"Range", c.Range.Value, c.Range.Origin},
		{"Matrix", c.Matrix.Value, c.Matrix.Origin},
		{"Ceiling", "code " + Code(c.Highlights.Ceiling.Code), ceilingNote(c.Highlights.Ceiling)},
		{"Samples", joinWith(", ", c.PixelFormat, strconv.Itoa(c.Bits)+" bits", c.Chroma), c.Container},
		{"Target", targetWords(s.Target), "where grey should lie"},
		{"Grey by", s.Grey, "reflectance " + decimal(s.Reflectance*100, 0, false, " %")},
	}
	if c.Curve.Assumed {
		list[1].Note = "assumed, and every number rests on it; " + c.Curve.Source
	}
	kept := list[:0]
	for _, f := range list {
		if f.Value != "" && !strings.HasPrefix(f.Value, "code "+Absent) {
			kept = append(kept, keyFigure{f.Label, typeset(Printable(f.Value)), typeset(Printable(f.Note))})
		}
	}
	return kept
}

func samplingWords(c Clip) string {
	s := c.Sampling
	words := plural(s.FramesMeasured, "frame") + " measured"
	if c.Frames > 0 {
		words = fmt.Sprintf("%d of %s measured", s.FramesMeasured, plural(c.Frames, "frame"))
	}
	if s.Mode == "groups" && s.Groups > 0 {
		words += " in " + plural(s.Groups, "group")
	}
	if s.FramesLost > 0 {
		words += fmt.Sprintf(", %d lost", s.FramesLost)
	}
	return words
}

func ceilingNote(ceiling Ceiling) string {
	if ceiling.Origin == "measured" {
		return Percent(ceiling.Percent) + ", measured in this clip"
	}
	return joinWith(", from the ", Percent(ceiling.Percent), ceiling.Origin)
}

// evidenceGrids are the tables that have no plot: evidence of grey, the chart, clipped areas.
func evidenceGrids(c Clip) (grids []titledGrid) {
	if c.Placement != nil {
		t := grid{Head: []string{"evidence of grey", "grey", "confidence", "used", "note"}}
		for _, k := range c.Placement.Candidates {
			t.Rows = append(t.Rows, []string{k.Method, SignedStops(k.Stops, 2), decimal(k.Confidence*100, 0, false, " %"), yesNo(k.Used), Printable(k.Note)})
		}
		grids = append(grids, titledGrid{"Evidence of grey", t})
		if chart := c.Placement.Chart; chart != nil {
			grids = append(grids, chartGrid(chart))
		}
	}
	grids = append(grids, sceneGrid(c.Scene))
	t := grid{Head: []string{"clipped area", "kind", "share", "peak", "some channels hold", "from", "to"}}
	for i, a := range c.Highlights.Areas {
		t.Rows = append(t.Rows, []string{
			fmt.Sprintf("%d: %d × %d px at %d, %d", i+1, a.W, a.H, a.X, a.Y), a.Kind, Share(a.Share), Share(a.FrameShare),
			Share(a.HueShare), Seconds(a.From), Seconds(a.To),
		})
	}
	grids = append(grids, titledGrid{"Clipped areas", t}, ceilingsGrid(c.Highlights))
	kept := grids[:0]
	for _, g := range grids {
		if len(g.Rows) > 0 {
			g.grid = g.grid.typeset()
			kept = append(kept, g)
		}
	}
	return kept
}

// sceneGrid has no rows where the scene's level is not known.
func sceneGrid(s *Scene) titledGrid {
	t := grid{Head: []string{"level of the frame", "recorded"}}
	if s != nil {
		for _, row := range []struct {
			name  string
			value *float64
		}{{"log-average", s.Average}, {"1 % lie below", s.P1}, {"10 % lie below", s.P10}, {"half lie below", s.P50}, {"90 % lie below", s.P90}, {"99 % lie below", s.P99}} {
			t.Rows = append(t.Rows, []string{row.name, stopsOrAbsent(row.value)})
		}
	}
	return titledGrid{"Scene", t}
}

func chartGrid(chart *Chart) titledGrid {
	t := grid{Head: []string{"patch", "published", "measured", "residual", "used"}}
	for _, p := range chart.Patches {
		t.Rows = append(t.Rows, []string{Printable(p.Name), SignedStops(p.Published, 2), stopsOrAbsent(p.Measured), stopsOrAbsent(p.Residual), yesNo(p.Used)})
	}
	title := fmt.Sprintf("Chart (%s), slope %s", Printable(chart.Edition), decimal(chart.Slope, 2, false, ""))
	return titledGrid{title, t}
}

func stopsOrAbsent(p *float64) string {
	if v, ok := known(p); ok {
		return SignedStops(v, 2)
	}
	return Absent
}

func ceilingsGrid(h Highlights) titledGrid {
	t := grid{Head: []string{"channel", "ceiling code", "percent"}}
	names := make([]string, 0, len(h.Channels))
	for name := range h.Channels {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		t.Rows = append(t.Rows, []string{Printable(name), Code(h.Channels[name].Code), Percent(h.Channels[name].Percent)})
	}
	return titledGrid{"Ceiling by channel", t}
}

func joinWith(between string, parts ...string) string {
	return strings.Join(without(parts, ""), between)
}

func targetWords(stops float64) string {
	if roundTo(stops, 1) == 0 {
		return "nominal"
	}
	return SignedStops(stops, 1)
}
