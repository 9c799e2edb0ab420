package chart

import (
	"math"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"

	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// OfDays returns timelines of placement, noise floor and clipped share by day: a point for each camera
// and ISO of a day, the median of its clips, with a bar from the least to the most. Those that there
// are no numbers for are left out.
func OfDays(d *report.Days) (drawings []Drawing) {
	for _, t := range []timeline{
		{"placement-days", "Placement by day", "stops over nominal", stopTicks{},
			func(g *report.Group) report.Span[float64] { return plain(g.Placement, 1) }},
		{"floor-days", "Noise floor by day", "recorded stops", stopTicks{},
			func(g *report.Group) report.Span[float64] { return plain(g.Floor, 1) }},
		{"clipped-days", "Clipped by day", "share of the frame, any channel", evenTicks{unit: " %"},
			func(g *report.Group) report.Span[float64] { return plain(g.Clipped, 100) }},
	} {
		if drawing, ok := t.draw(d); ok {
			drawings = append(drawings, drawing)
		}
	}
	return drawings
}

// A timeline is one figure by day.
type timeline struct {
	id, title, axis string
	ticks           plot.Ticker
	of              func(*report.Group) report.Span[float64]
}

func plain[T ~float64](s report.Span[T], times float64) report.Span[float64] {
	return report.Span[float64]{Median: float64(s.Median) * times, Least: float64(s.Least) * times,
		Most: float64(s.Most) * times, Clips: s.Clips}
}

// series are the points of one camera.
type series struct {
	points plotter.XYs
	bars   spans
}

func (t timeline) draw(d *report.Days) (Drawing, bool) {
	p := newPlot("", t.axis)
	p.X.Tick.Marker, p.Y.Tick.Marker = dayTicks{}, t.ticks
	p.Add(rules())
	out := Drawing{ID: t.id, Title: t.title}
	points := 0
	for i, camera := range cameras(d) {
		s := t.series(d, camera, besides[i%len(besides)])
		if len(s.points) == 0 {
			continue
		}
		points += len(s.points)
		style, ink, word := takeStyles[i%len(takeStyles)], inkMain, "main"
		if i%2 == 1 {
			ink, word = inkOther, "other"
		}
		s.bars.style = stroke(ink, 1)
		p.Add(s.bars, dots(s.points, style.shape, ink))
		out.Keys = append(out.Keys, Key{style.name, word, text.CameraWords(camera)})
	}
	if points == 0 {
		return Drawing{}, false
	}
	p.X.Min, p.X.Max = p.X.Min-1, p.X.Max+1
	margin := math.Max(0.1*(p.Y.Max-p.Y.Min), 0.25)
	p.Y.Min, p.Y.Max = p.Y.Min-margin, p.Y.Max+margin
	if t.id == "clipped-days" {
		p.Y.Min = 0
	}
	out.Says = text.Typeset(t.title + ": a point is the median of a day's clips of one camera and ISO, its bar " +
		"goes from the least to the most. The table below has the numbers.")
	out.draw(p)
	return out, true
}

// besides are parts of a day by which cameras stand beside each other.
var besides = [...]float64{0, 0.25, -0.25, 0.125}

// series returns the points of a camera.
func (t timeline) series(d *report.Days, camera string, beside float64) (s series) {
	for i := range d.Days {
		day, err := time.Parse(time.DateOnly, d.Days[i].Date)
		if err != nil {
			continue
		}
		x := float64(day.Unix())/secondsADay + beside
		for k := range d.Days[i].Groups {
			g := &d.Days[i].Groups[k]
			v := t.of(g)
			if g.Camera != camera || v.Clips == 0 || !curve.Finite(v.Median) {
				continue
			}
			s.points = append(s.points, plotter.XY{X: x, Y: v.Median})
			s.bars.add(x, v.Least, v.Most)
		}
	}
	return s
}

const secondsADay = 24 * 60 * 60

// cameras returns the names of all cameras, as they come.
func cameras(d *report.Days) (names []string) {
	seen := map[string]bool{}
	for _, day := range d.Days {
		for _, g := range day.Groups {
			if !seen[g.Camera] {
				seen[g.Camera], names = true, append(names, g.Camera)
			}
		}
	}
	return names
}

// dayTicks marks days of an axis in days since 1970: whole days, or so many of them that some six
// labels have room.
type dayTicks struct{}

// Ticks returns the ticks of an axis from low to high.
func (dayTicks) Ticks(low, high float64) (ticks []plot.Tick) {
	const labels = 5
	every := max(1, math.Ceil((high-low)/labels))
	for day := math.Ceil(low); day <= high; day += every {
		at := time.Unix(int64(day)*secondsADay, 0).UTC()
		layout := "2 Jan"
		if high-low > 180 {
			layout = "Jan 2006"
		}
		ticks = append(ticks, plot.Tick{Value: day, Label: at.Format(layout)})
	}
	return ticks
}
