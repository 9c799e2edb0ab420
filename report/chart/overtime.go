package chart

import (
	"math"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// placementOverTime shows where grey lay over the clip.
func placementOverTime(c *report.Clip) (Drawing, bool) {
	points := placementSeries(c)
	if len(points) < 2 {
		return Drawing{}, false
	}
	p := newPlot("seconds from the first frame", "stops from nominal grey")
	p.Add(rules(), curveLine(points, stroke(inkOther, 2)))
	p.Add(dots(points, draw.CircleGlyph{}, inkOther))
	middle := (p.Y.Min + p.Y.Max) / 2
	half := math.Max((p.Y.Max-p.Y.Min)*0.7, 0.25) // a steady clip must look steady
	p.Y.Min, p.Y.Max = middle-half, middle+half
	p.X.Tick.Marker, p.Y.Tick.Marker = evenTicks{unit: " s"}, evenTicks{signed: true}
	d := Drawing{ID: "placement-time", Title: "Grey over the clip", Says: placementSays(c)}
	d.Table.Head = []string{"time", "grey"}
	for _, pt := range points {
		d.Table.Rows = append(d.Table.Rows, []string{curve.Seconds(pt.X).String(), curve.Stops(pt.Y).Signed(2)})
	}
	d.Table = d.Table.Typeset()
	d.draw(p)
	return d, true
}

// placementSeries is the placement's own series, or else that of the groups of frames.
func placementSeries(c *report.Clip) (points plotter.XYs) {
	add := func(t curve.Seconds, stops curve.Stops) {
		if curve.Finite(t) && curve.Finite(stops) {
			points = append(points, plotter.XY{X: float64(t), Y: float64(stops)})
		}
	}
	if c.Placement != nil {
		for _, s := range c.Placement.Series {
			add(s.T, s.Stops)
		}
	}
	if len(points) > 0 {
		return points
	}
	for _, m := range c.Over {
		add(m.T, m.Placement)
	}
	return points
}

func placementSays(c *report.Clip) string {
	says := "Grey by time."
	v := c.Variation
	if curve.Finite(v.Drift) {
		says += " It drifts by " + v.Drift.Signed(2) + "."
	}
	if curve.Finite(v.Step) {
		says += " It jumps by " + v.Step.Signed(2)
		if curve.Finite(v.StepAt) {
			says += " at " + v.StepAt.String()
		}
		says += "."
	}
	if curve.Finite(v.Flicker) {
		says += " It flickers by " + v.Flicker.Plain(2)
		if curve.Finite(v.FlickerHz) {
			says += " at " + text.Number(v.FlickerHz, 1, " Hz")
		}
		says += "."
	}
	return text.Typeset(says)
}

// clippedOverTime shows how much of the frame clipped over the clip.
func clippedOverTime(c *report.Clip) (Drawing, bool) {
	var points plotter.XYs
	d := Drawing{ID: "clipped-time", Title: "Clipped over the clip"}
	d.Table.Head = []string{"time", "clipped"}
	for _, m := range c.Over {
		if curve.Finite(m.T) && curve.Finite(m.Clipped) {
			points = append(points, plotter.XY{X: float64(m.T), Y: 100 * float64(m.Clipped)})
			d.Table.Rows = append(d.Table.Rows, []string{m.T.String(), m.Clipped.String()})
		}
	}
	if len(points) < 2 || !(c.Highlights.Clipped.Any > 0) {
		return Drawing{}, false
	}
	p := newPlot("seconds from the first frame", "share of the frame, any channel")
	p.Add(rules(), curveLine(points, stroke(inkMain, 2)), dots(points, draw.BoxGlyph{}, inkMain))
	p.Y.Min, p.Y.Max = 0, math.Max(1.2*p.Y.Max, 0.1)
	p.X.Tick.Marker, p.Y.Tick.Marker = evenTicks{unit: " s"}, evenTicks{unit: " %"}
	d.Says = text.Typeset("Clipped share of the frame by time, " + c.Highlights.Clipped.Any.String() + " on the mean.")
	d.Table = d.Table.Typeset()
	d.draw(p)
	return d, true
}
