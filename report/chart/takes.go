package chart

import (
	"math"
	"strings"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"stopledger/analyze/advise"
	"stopledger/analyze/limit"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/text"
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

// OfTakes shows the noise of all takes by the scene's tones, where they can be compared whatever
// their placement. It is nil where fewer than two have any.
func OfTakes(takes []advise.Take) *Drawing {
	p := newPlot("stops from the subject's grey", "signal-to-noise")
	p.X.Tick.Marker, p.Y.Tick.Marker = stopTicks{}, evenTicks{unit: " dB"}
	p.Add(rules())
	d := &Drawing{ID: "takes", Title: "Signal-to-noise by stop of the scene", Says: takesSay(takes)}
	for i, t := range takes {
		points, bars := takePoints(t)
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
		name := metadata.Printable(report.ClipName(t.Path))
		d.Keys = append(d.Keys, Key{style.name, word, advise.Letter(i) + " " + name})
	}
	if len(d.Keys) < 2 {
		return nil
	}
	p.X.Min, p.X.Max = p.X.Min-0.3, p.X.Max+0.3
	p.Y.Min, p.Y.Max = math.Min(p.Y.Min, 0), p.Y.Max+2
	d.draw(p)
	return d
}

// takePoints returns a take's SNR at the scene's tones, and the intervals of those that have one.
func takePoints(t advise.Take) (points plotter.XYs, bars spans) {
	for _, f := range t.Figures {
		if f.Name != "snr" || f.SceneStops == nil || f.Value == nil || !curve.Finite(f.Value.Value) {
			continue
		}
		x := float64(*f.SceneStops)
		points = append(points, plotter.XY{X: x, Y: float64(f.Value.Value)})
		if f.Value.Bounded() {
			bars.add(x, float64(f.Value.Low), float64(f.Value.High))
		}
	}
	return points, bars
}

func takesSay(takes []advise.Take) string {
	var parts []string
	for i, t := range takes {
		for _, f := range t.Figures {
			if f.Name == "snr" && f.SceneStops != nil && *f.SceneStops == limit.Shadow && f.Value != nil {
				parts = append(parts, advise.Letter(i)+" "+text.FigureValue(f))
			}
		}
	}
	if len(parts) == 0 {
		return "Signal-to-noise of each take by the scene's tones."
	}
	return text.Typeset("4 stops under grey: " + strings.Join(parts, ", ") + ".")
}
