package report

import (
	"math"
	"strings"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// takeStyles tell takes apart by shape and dashes; a fifth take looks like the first again, and
// the table tells them apart.
var takeStyles = []struct {
	shape  draw.GlyphDrawer
	name   string // of the key's shape
	dashes []vg.Length
}{
	{draw.CircleGlyph{}, "disc", nil},
	{draw.SquareGlyph{}, "square", []vg.Length{5, 3}},
	{draw.TriangleGlyph{}, "triangle", []vg.Length{2, 3}},
	{draw.CrossGlyph{}, "saltire", []vg.Length{8, 3, 2, 3}},
}

// compareDrawing shows the noise of all takes by the scene's tones, where they can be compared
// whatever their placement.
func compareDrawing(c Comparison) (drawing, bool) {
	p := newPlot("stops from the subject's grey", "signal to noise")
	p.X.Tick.Marker, p.Y.Tick.Marker = stopTicks{}, evenTicks{unit: " dB"}
	p.Add(rules())
	d := drawing{ID: "takes", Title: "Noise by tone of the scene"}
	for i, t := range c.Takes {
		points, bars := takeSNR(t)
		if len(points) == 0 {
			continue
		}
		style := takeStyles[i%len(takeStyles)]
		ink, word := inkMain, "main"
		if i%2 == 1 {
			ink, word = inkOther, "other"
		}
		bars.style = stroke(ink, 1)
		p.Add(curveLine(points, stroke(ink, 1.5, style.dashes...)), bars, dots(points, style.shape, ink))
		d.Keys = append(d.Keys, plotKey{style.name, word, letter(i) + " " + Printable(clipName(t.Path))})
	}
	if len(d.Keys) < 2 {
		return drawing{}, false
	}
	p.X.Min, p.X.Max = p.X.Min-0.3, p.X.Max+0.3
	p.Y.Min, p.Y.Max = math.Min(p.Y.Min, 0), p.Y.Max+2
	d.Says = compareSays(c)
	d.SVG = svg(p, d.ID, d.Title, d.Says)
	return d, true
}

// takeSNR returns a take's SNR at the scene's tones, and the intervals of those that have one.
func takeSNR(t Take) (points plotter.XYs, bars spans) {
	for _, f := range t.Figures {
		if f.Name != "snr" || f.SceneStops == nil || f.Value == nil {
			continue
		}
		points = append(points, plotter.XY{X: *f.SceneStops, Y: f.Value.Value})
		if f.Value.Low != nil && f.Value.High != nil {
			bars.at = append(bars.at, *f.SceneStops)
			bars.low, bars.high = append(bars.low, *f.Value.Low), append(bars.high, *f.Value.High)
		}
	}
	return points, bars
}

func compareSays(c Comparison) string {
	var parts []string
	for i, t := range c.Takes {
		if f := t.find("snr", shadowTone); f.Value != nil {
			parts = append(parts, letter(i)+" "+figureValue(f))
		}
	}
	if len(parts) == 0 {
		return "Signal to noise of each take by the scene's tones."
	}
	return typeset("At scene -4 stops: " + strings.Join(parts, ", ") + ".")
}
