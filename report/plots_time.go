package report

import (
	"math"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"
)

// placementDrawing shows where grey lay over the clip.
func placementDrawing(c Clip) (drawing, bool) {
	points := placementSeries(c)
	if len(points) < 2 {
		return drawing{}, false
	}
	p := newPlot("seconds from the first frame", "stops from nominal grey")
	p.Add(rules(), curveLine(points, stroke(inkOther, 2)))
	p.Add(dots(points, draw.CircleGlyph{}, inkOther))
	middle := (p.Y.Min + p.Y.Max) / 2
	half := math.Max((p.Y.Max-p.Y.Min)*0.7, 0.25) // a steady clip must look steady
	p.Y.Min, p.Y.Max = middle-half, middle+half
	p.X.Tick.Marker, p.Y.Tick.Marker = evenTicks{unit: " s"}, evenTicks{signed: true}
	d := drawing{ID: "placement-time", Title: "Grey over the clip", Says: placementSays(c)}
	d.Table.Head = []string{"time", "grey"}
	for _, pt := range points {
		d.Table.Rows = append(d.Table.Rows, []string{Seconds(pt.X), SignedStops(pt.Y, 2)})
	}
	d.Table = d.Table.typeset()
	d.SVG = svg(p, d.ID, d.Title, d.Says)
	return d, true
}

func placementSeries(c Clip) (points plotter.XYs) {
	if c.Placement != nil {
		for _, s := range c.Placement.Series {
			if finite(s.T) && finite(s.Stops) {
				points = append(points, plotter.XY{X: s.T, Y: s.Stops})
			}
		}
	}
	if len(points) > 0 {
		return points
	}
	for _, m := range c.Over {
		if v, ok := known(m.Placement); ok && finite(m.T) {
			points = append(points, plotter.XY{X: m.T, Y: v})
		}
	}
	return points
}

func placementSays(c Clip) string {
	says := "Grey by time."
	v := c.Variation
	if drift, ok := known(v.DriftStops); ok {
		says += " It drifts by " + SignedStops(drift, 2) + "."
	}
	if step, ok := known(v.StepStops); ok {
		says += " It jumps by " + SignedStops(step, 2)
		if at, ok := known(v.StepAt); ok {
			says += " at " + Seconds(at)
		}
		says += "."
	}
	if flicker, ok := known(v.FlickerStops); ok {
		says += " It flickers by " + PlainStops(flicker, 2)
		if hz, ok := known(v.FlickerHz); ok {
			says += " at " + decimal(hz, 1, false, " Hz")
		}
		says += "."
	}
	return typeset(says)
}

// clippedDrawing shows how much of the frame clipped over the clip.
func clippedDrawing(c Clip) (drawing, bool) {
	var points plotter.XYs
	d := drawing{ID: "clipped-time", Title: "Clipped over the clip"}
	d.Table.Head = []string{"time", "clipped"}
	for _, m := range c.Over {
		if finite(m.T) && finite(m.Clipped) {
			points = append(points, plotter.XY{X: m.T, Y: 100 * m.Clipped})
			d.Table.Rows = append(d.Table.Rows, []string{Seconds(m.T), Share(m.Clipped)})
		}
	}
	if len(points) < 2 || c.Highlights.Clipped.Any == 0 {
		return drawing{}, false
	}
	p := newPlot("seconds from the first frame", "share of the frame, any channel")
	p.Add(rules(), curveLine(points, stroke(inkMain, 2)), dots(points, draw.BoxGlyph{}, inkMain))
	p.Y.Min, p.Y.Max = 0, math.Max(1.2*p.Y.Max, 0.1)
	p.X.Tick.Marker, p.Y.Tick.Marker = evenTicks{unit: " s"}, evenTicks{unit: " %"}
	d.Says = typeset("Clipped share of the frame by time, " + Share(c.Highlights.Clipped.Any) + " on the mean.")
	d.Table = d.Table.typeset()
	d.SVG = svg(p, d.ID, d.Title, d.Says)
	return d, true
}
