package html

import (
	"fmt"
	"maps"
	"slices"

	"stopledger/analyze/clipping"
	"stopledger/analyze/levels"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/chart"
	"stopledger/report/text"
)

type titledGrid struct {
	Title string
	chart.Grid
}

// evidence are the tables that have no plot: evidence of grey, the chart, clipped areas.
func evidence(c *report.Clip) (grids []titledGrid) {
	all := []titledGrid{greyGrid(c.Placement), chartGrid(c.Placement), sceneGrid(&c.Scene),
		areasGrid(c.Highlights.Areas), ceilingsGrid(c.Highlights.Channels)}
	for _, g := range all {
		if len(g.Rows) > 0 {
			grids = append(grids, titledGrid{g.Title, g.Typeset()})
		}
	}
	return grids
}

func greyGrid(p *placement.Placement) titledGrid {
	t := chart.Grid{Head: []string{"evidence of grey", "grey", "confidence", "used", "note"}}
	if p != nil {
		for _, k := range p.Candidates {
			t.Rows = append(t.Rows, []string{string(k.Method), k.Stops.Signed(2), text.Number(k.Confidence*100, 0, " %"),
				text.YesNo(k.Used), k.Note})
		}
	}
	return titledGrid{"Evidence of grey", t}
}

// sceneGrid has no rows where the scene's level is not known.
func sceneGrid(s *levels.Scene) titledGrid {
	t := chart.Grid{Head: []string{"level of the frame", "recorded"}}
	for _, row := range []struct {
		name  string
		value curve.Stops
	}{
		{"log-average", s.Average}, {"1 % lie below", s.P1}, {"10 % lie below", s.P10},
		{"half lie below", s.P50}, {"90 % lie below", s.P90}, {"99 % lie below", s.P99},
	} {
		t.Rows = append(t.Rows, []string{row.name, row.value.Signed(2)})
	}
	known := func(row []string) bool { return row[1] != curve.Absent }
	if !slices.ContainsFunc(t.Rows, known) {
		t.Rows = nil
	}
	return titledGrid{"Scene", t}
}

func areasGrid(areas []clipping.Area) titledGrid {
	t := chart.Grid{Head: []string{"clipped area", "kind", "share", "peak", "some channels hold", "from", "to"}}
	for i, a := range areas {
		t.Rows = append(t.Rows, []string{
			fmt.Sprintf("%d: %d × %d px at %d, %d", i+1, a.W, a.H, a.X, a.Y), string(a.Kind), a.Share.String(),
			a.Peak.String(), a.Some.String(), a.From.String(), a.To.String(),
		})
	}
	return titledGrid{"Clipped areas", t}
}

func ceilingsGrid(channels map[string]curve.Level) titledGrid {
	t := chart.Grid{Head: []string{"channel", "ceiling code", "percent"}}
	for _, name := range slices.Sorted(maps.Keys(channels)) {
		t.Rows = append(t.Rows, []string{name, channels[name].Code.String(), channels[name].Percent.String()})
	}
	return titledGrid{"Ceiling by channel", t}
}

func chartGrid(p *placement.Placement) titledGrid {
	if p == nil || p.Chart == nil {
		return titledGrid{}
	}
	t := chart.Grid{Head: []string{"patch", "published", "measured", "residual", "used"}}
	for _, patch := range p.Chart.Patches {
		t.Rows = append(t.Rows, []string{patch.Name, patch.Published.Signed(2), patch.Measured.Signed(2),
			patch.Residual.Signed(2), text.YesNo(patch.Used)})
	}
	title := fmt.Sprintf("Chart (values of %s), slope %s", p.Chart.Edition, text.Number(p.Chart.Line.Slope, 2, ""))
	return titledGrid{title, t}
}

// groupLines say of each group of frames that was measured when it begins, and what it shows; none where
// there are no two.
func groupLines(c *report.Clip) (lines []string) {
	if len(c.Over) < 2 {
		return nil
	}
	for _, m := range c.Over {
		parts := []string{"at " + m.T.String()}
		for _, part := range []struct {
			words string
			known bool
		}{
			{"grey " + m.Placement.Signed(2), curve.Finite(m.Placement)},
			{"the frame's average " + m.Level.Signed(2), curve.Finite(m.Level)},
			{"floor " + m.Floor.Signed(1), curve.Finite(m.Floor)},
			{m.Clipped.String() + " clipped", curve.Finite(m.Clipped)},
		} {
			if part.known {
				parts = append(parts, part.words)
			}
		}
		lines = append(lines, text.Typeset(joined(" · ", parts...)))
	}
	return lines
}
