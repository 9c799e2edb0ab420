package chart

import (
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"

	"stopledger/analyze/levels"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// histogram shows how the frame's luma spreads over recorded stops, with what bounds it: the
// floor, the ceiling, and where grey is and should be.
func histogram(c *report.Clip) (Drawing, bool) {
	h := &c.Histogram
	if len(h.Shares) == 0 || !(h.Step > 0) || !curve.Finite(h.First) {
		return Drawing{}, false
	}
	p := newPlot("recorded stops from nominal grey", "share of the frame")
	p.X.Min, p.X.Max = histogramRange(c)
	p.Y.Min, p.Y.Max = 0, 1.28*100*largest(h.Shares)
	p.X.Tick.Marker, p.Y.Tick.Marker = stopTicks{}, evenTicks{unit: " %"}
	p.Add(rules())
	p.Add(histogramZones(c)...)
	p.Add(histogramArea(h, p.X.Min, p.X.Max))
	p.Add(histogramMarks(c)...)

	d := Drawing{ID: "histogram", Title: "Histogram in stops", Says: histogramSays(c), Table: histogramTable(h)}
	d.draw(p)
	return d, true
}

// histogramRange spans what is recorded, the floor and the ceiling, in whole stops.
func histogramRange(c *report.Clip) (low, high float64) {
	h := &c.Histogram
	if ceiling := float64(c.Highlights.Ceiling.Recorded); curve.Finite(ceiling) {
		high = ceiling + 0.6
	}
	for i, share := range h.Shares {
		if at := float64(binEdge(h, i)); share > 0.0002 {
			low, high = math.Min(low, at), math.Max(high, at+float64(h.Step))
		}
	}
	if floor := float64(c.Noise.Floor); curve.Finite(floor) {
		low = math.Min(low, floor-0.6)
	}
	return math.Max(math.Floor(low), -12), math.Min(math.Max(math.Ceil(high), 1), 12)
}

// binEdge is the lower edge of a bin, in recorded stops.
func binEdge(h *levels.Histogram, i int) curve.Stops { return h.First + curve.Stops(i)*h.Step }

// histogramArea is the outline of the bins as one polygon in percent, cut to the axis.
func histogramArea(h *levels.Histogram, low, high float64) plot.Plotter {
	line := plotter.XYs{{X: low, Y: 0}}
	for i, share := range h.Shares {
		from, to := float64(binEdge(h, i)), float64(binEdge(h, i)+h.Step)
		if from < low-1e-9 || to > high+1e-9 || !curve.Finite(share) {
			continue
		}
		line = append(line, plotter.XY{X: from, Y: float64(share) * 100}, plotter.XY{X: to, Y: float64(share) * 100})
	}
	line = append(line, plotter.XY{X: line[len(line)-1].X, Y: 0})
	return &plotter.Polygon{XYs: []plotter.XYs{line}, Color: inkFill, LineStyle: stroke(inkMain, 1)}
}

func histogramZones(c *report.Clip) []plot.Plotter {
	floor, ceiling := float64(c.Noise.Floor), float64(c.Highlights.Ceiling.Recorded)
	return []plot.Plotter{zone{math.Inf(-1), floor, inkFloor}, zone{ceiling, math.Inf(1), inkClip}}
}

func histogramMarks(c *report.Clip) []plot.Plotter {
	floor, ceiling := float64(c.Noise.Floor), float64(c.Highlights.Ceiling.Recorded)
	marks := []plot.Plotter{
		mark{at: floor, name: "floor", style: stroke(inkText, 1)},
		mark{at: ceiling, name: "ceiling", style: stroke(inkText, 1), left: true},
		mark{at: 0, name: "nominal", style: stroke(inkSoft, 1, 2, 3), left: true, row: 1},
	}
	if p := c.Placement; p != nil {
		grey := mark{at: float64(p.Stops), name: "grey", style: stroke(inkOther, 2), left: p.Stops < 0, row: 2}
		marks = append(marks, grey)
	}
	return marks
}

func histogramSays(c *report.Clip) string {
	says := []string{"Luma by recorded stops."}
	if c.Placement != nil {
		says = append(says, "Grey at "+greyWords(c)+".")
	}
	if curve.Finite(c.Noise.Floor) {
		says = append(says, "Floor at "+c.Noise.Floor.Signed(1)+".")
	}
	says = append(says, "Ceiling at "+c.Highlights.Ceiling.Recorded.Signed(1)+".")
	if c.Histogram.Below > 0 {
		says = append(says, c.Histogram.Below.String()+" of the frame lies below the scale.")
	}
	return text.Typeset(strings.Join(says, " "))
}

// histogramTable sums the bins to whole stops.
func histogramTable(h *levels.Histogram) Grid {
	sums := map[int]curve.Share{}
	low, high := math.MaxInt, math.MinInt
	for i, share := range h.Shares {
		stop := int(math.Floor(float64(binEdge(h, i) + h.Step/2)))
		sums[stop] += share
		if share > 0 {
			low, high = min(low, stop), max(high, stop)
		}
	}
	t := Grid{Head: []string{"recorded stops", "share of the frame"}}
	for stop := low; stop <= high; stop++ {
		from, to := text.Signed(float64(stop), 0, ""), curve.Stops(stop+1).Signed(0)
		t.Rows = append(t.Rows, []string{from + " to " + to, sums[stop].String()})
	}
	return t.Typeset()
}

// largest returns the greatest share, and never less than a small one, so that an axis always
// has an extent.
func largest(shares []curve.Share) float64 {
	most := 1e-5
	for _, s := range shares {
		if curve.Finite(s) {
			most = math.Max(most, float64(s))
		}
	}
	return most
}
