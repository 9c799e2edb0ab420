package report

import (
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
)

// histogramDrawing shows how the frame's luma spreads over recorded stops, with what bounds it:
// the floor, the ceiling, and where grey is and should be.
func histogramDrawing(c Clip) (drawing, bool) {
	h := c.Histogram
	if h == nil || len(h.Shares) == 0 || !(h.Step > 0) {
		return drawing{}, false
	}
	p := newPlot("recorded stops from nominal grey", "share of the frame")
	p.X.Min, p.X.Max = histogramRange(c)
	p.Y.Min, p.Y.Max = 0, 1.28*largest(percents(h.Shares))
	p.X.Tick.Marker, p.Y.Tick.Marker = stopTicks{}, evenTicks{unit: " %"}
	p.Add(rules())
	p.Add(histogramZones(c)...)
	p.Add(histogramArea(h, p))
	p.Add(histogramMarks(c)...)

	d := drawing{ID: "histogram", Title: "Where the picture lies", Says: histogramSays(c), Table: histogramTable(h)}
	d.SVG = svg(p, d.ID, d.Title, d.Says)
	return d, true
}

// histogramRange spans what is recorded, the floor and the ceiling, in whole stops.
func histogramRange(c Clip) (low, high float64) {
	h := c.Histogram
	low, high = 0, c.Highlights.Ceiling.RecordedStops+0.6
	for i, share := range h.Shares {
		if at := h.First + float64(i)*h.Step; share > 0.0002 {
			low, high = math.Min(low, at), math.Max(high, at+h.Step)
		}
	}
	if floor, ok := known(c.Noise.FloorStops); ok {
		low = math.Min(low, floor-0.6)
	}
	return math.Max(math.Floor(low), -12), math.Min(math.Ceil(high), 12)
}

// histogramArea is the outline of the bins as one polygon, cut to the plot.
func histogramArea(h *Histogram, p *plot.Plot) plot.Plotter {
	line := plotter.XYs{{X: p.X.Min, Y: 0}}
	for i, s := range h.Shares {
		from := h.First + float64(i)*h.Step
		if from < p.X.Min-1e-9 || from+h.Step > p.X.Max+1e-9 {
			continue
		}
		line = append(line, plotter.XY{X: from, Y: s * 100}, plotter.XY{X: from + h.Step, Y: s * 100})
	}
	line = append(line, plotter.XY{X: line[len(line)-1].X, Y: 0})
	return &plotter.Polygon{XYs: []plotter.XYs{line}, Color: inkFill, LineStyle: stroke(inkMain, 1)}
}

func histogramZones(c Clip) (zones []plot.Plotter) {
	if floor, ok := known(c.Noise.FloorStops); ok {
		zones = append(zones, zone{math.Inf(-1), floor, inkFloor})
	}
	return append(zones, zone{c.Highlights.Ceiling.RecordedStops, math.Inf(1), inkClip})
}

func histogramMarks(c Clip) (marks []plot.Plotter) {
	if floor, ok := known(c.Noise.FloorStops); ok {
		marks = append(marks, mark{at: floor, name: "floor", style: stroke(inkText, 1)})
	}
	marks = append(marks, mark{at: c.Highlights.Ceiling.RecordedStops, name: "ceiling", style: stroke(inkText, 1), left: true},
		mark{at: 0, name: "nominal", style: stroke(inkSoft, 1, 2, 3), left: true, row: 1})
	if p := c.Placement; p != nil {
		marks = append(marks, mark{at: p.Stops, name: "grey", style: stroke(inkOther, 2), left: p.Stops < 0, row: 2})
	}
	return marks
}

func histogramSays(c Clip) string {
	says := []string{"Luma by recorded stops."}
	if c.Placement != nil {
		says = append(says, "Grey at "+cellGrey(c)+".")
	}
	if floor, ok := known(c.Noise.FloorStops); ok {
		says = append(says, "Floor at "+SignedStops(floor, 1)+".")
	}
	says = append(says, "Ceiling at "+SignedStops(c.Highlights.Ceiling.RecordedStops, 1)+".")
	if c.Histogram.Below > 0 {
		says = append(says, Share(c.Histogram.Below)+" of the frame lies below the scale.")
	}
	return typeset(strings.Join(says, " "))
}

// histogramTable sums the bins to whole stops.
func histogramTable(h *Histogram) grid {
	sums := map[int]float64{}
	low, high := math.MaxInt, math.MinInt
	for i, s := range h.Shares {
		stop := int(math.Floor(h.First + (float64(i)+0.5)*h.Step))
		sums[stop] += s
		if s > 0 {
			low, high = min(low, stop), max(high, stop)
		}
	}
	t := grid{Head: []string{"recorded stops", "share of the frame"}}
	for stop := low; stop <= high; stop++ {
		from, to := SignedStops(float64(stop), 0), SignedStops(float64(stop+1), 0)
		t.Rows = append(t.Rows, []string{strings.TrimSuffix(from, " stops") + " to " + to, Share(sums[stop])})
	}
	return t.typeset()
}

func percents(shares []float64) []float64 {
	out := make([]float64, len(shares))
	for i, s := range shares {
		out[i] = 100 * s
	}
	return out
}

// largest returns the greatest finite value, and never less than a small one, so that an axis
// always has an extent.
func largest(values []float64) float64 {
	most := 1e-3
	for _, v := range values {
		if finite(v) {
			most = math.Max(most, v)
		}
	}
	return most
}
