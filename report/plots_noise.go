package report

import (
	"math"
	"slices"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"
)

// snrDrawing shows the signal-to-noise ratio by tone: as recorded with its intervals, after the
// correction, and as it would be had grey been placed at nominal.
func snrDrawing(c Clip) (drawing, bool) {
	points, bars, scene := snrPoints(c)
	if len(points) < 2 {
		return drawing{}, false
	}
	axis := "stops from the subject's grey"
	if !scene {
		axis = "recorded stops from nominal grey"
	}
	p := newPlot(axis, "signal to noise")
	p.X.Tick.Marker, p.Y.Tick.Marker = stopTicks{}, evenTicks{unit: " dB"}
	p.Add(rules(), bars)
	d := drawing{ID: "snr", Title: "Noise by tone", Says: snrSays(c), Table: snrTable(c, scene)}
	d.Keys = []plotKey{{"dots", "main", "as recorded, with 95 % intervals"}}
	after, nominal := gradedLines(c, scene)
	if len(nominal) > 1 {
		p.Add(curveLine(nominal, stroke(inkSoft, 1.5, 5, 3)))
		d.Keys = append(d.Keys, plotKey{"dashes", "soft", "had grey been at nominal"})
	}
	if len(after) > 1 {
		p.Add(curveLine(after, stroke(inkOther, 2)))
		d.Keys = append(d.Keys, plotKey{"line", "other", typeset(afterWords(c))})
	}
	p.Add(dots(points, draw.CircleGlyph{}, inkMain))
	p.X.Min, p.X.Max = p.X.Min-0.3, p.X.Max+0.3
	p.Y.Min, p.Y.Max = math.Min(p.Y.Min, 0), p.Y.Max+2
	d.SVG = svg(p, d.ID, d.Title, d.Says)
	return d, true
}

// snrPoints returns the measured tones and their intervals. x is the tone of the scene, or of
// the recording where no grey is known, which scene tells.
func snrPoints(c Clip) (points plotter.XYs, bars spans, scene bool) {
	scene = slices.ContainsFunc(c.Noise.Tones, func(t Tone) bool { return t.SceneStops != nil })
	bars.style = stroke(inkMain, 1)
	for _, t := range c.Noise.Tones {
		x, ok := toneAt(t, scene)
		snr, measured := known(t.SNR)
		if !ok || !measured {
			continue
		}
		points = append(points, plotter.XY{X: x, Y: snr})
		low, ok1 := known(t.Low)
		high, ok2 := known(t.High)
		if ok1 && ok2 {
			bars.at = append(bars.at, x)
			bars.low, bars.high = append(bars.low, low), append(bars.high, high)
		}
	}
	return points, bars, scene
}

func toneAt(t Tone, scene bool) (float64, bool) {
	if scene {
		return known(t.SceneStops)
	}
	return t.RecordedStops, finite(t.RecordedStops)
}

// gradedLines returns the SNR after the advised correction and at a nominal placement.
func gradedLines(c Clip, scene bool) (after, nominal plotter.XYs) {
	g := gradedAt(c, correctionStops(c))
	if g == nil || !scene {
		return nil, nil
	}
	for _, t := range g.Tones {
		if v, ok := known(t.SNR); ok {
			after = append(after, plotter.XY{X: t.SceneStops, Y: v})
		}
		if v, ok := known(t.Nominal); ok {
			nominal = append(nominal, plotter.XY{X: t.SceneStops, Y: v})
		}
	}
	return after, nominal
}

// gradedAt returns the noise after an exposure change, nil where it was not worked out.
func gradedAt(c Clip, stops float64) *Graded {
	for i := range c.Noise.Graded {
		if sameStops(c.Noise.Graded[i].Stops, stops) {
			return &c.Noise.Graded[i]
		}
	}
	return nil
}

func snrSays(c Clip) string {
	says := "Signal to noise by tone."
	if v, ok := known(c.Advice.After.SNR); ok {
		says += " At scene -4 stops " + Decibels(v) + " " + afterWords(c)
		if n, ok := known(c.Advice.After.NominalSNR); ok {
			says += ", " + Decibels(n) + " had grey been at nominal"
		}
		says += "."
	}
	if floor, ok := known(c.Noise.FloorStops); ok {
		says += " It falls to 0 dB at " + SignedStops(floor, 1) + " recorded."
	}
	if c.Noise.Suppressed {
		says += " The recording hides the camera's noise, so these figures flatter it."
	}
	return typeset(says)
}

func snrTable(c Clip, scene bool) grid {
	t := grid{Head: []string{"recorded", "scene", "code", "noise, codes", "SNR", "95 % interval", "cells"}}
	for _, tone := range c.Noise.Tones {
		t.Rows = append(t.Rows, []string{
			SignedStops(tone.RecordedStops, 2), optional(tone.SceneStops, signedStops2), Code(tone.Code),
			sigmaCell(tone), optional(tone.SNR, decibels1), intervalCell(tone.Low, tone.High, decibels1),
			decimal(float64(tone.Cells), 0, false, ""),
		})
	}
	return t.typeset()
}

// transferDrawing is the photon transfer curve: the variance of the noise against the light, on
// logarithmic scales, with the fitted model.
func transferDrawing(c Clip) (drawing, bool) {
	var points plotter.XYs
	table := grid{Head: []string{"recorded", "linear", "variance", "fit"}}
	for _, t := range c.Noise.Tones {
		sigma, ok := known(t.SigmaLinear)
		if !ok || !(sigma > 0) || !finite(t.RecordedStops) {
			continue
		}
		points = append(points, plotter.XY{X: t.RecordedStops, Y: 2 * math.Log10(sigma)})
		light := nominalGrey * math.Exp2(t.RecordedStops)
		fit := Absent
		if m := c.Noise.Model; m != nil {
			fit = scientific(m.Read*m.Read + m.Shot*light)
		}
		table.Rows = append(table.Rows, []string{SignedStops(t.RecordedStops, 2), scientific(light), scientific(sigma * sigma), fit})
	}
	if len(points) < 2 {
		return drawing{}, false
	}
	p := newPlot("light, recorded stops from nominal grey", "variance of linear light")
	p.X.Tick.Marker, p.Y.Tick.Marker = stopTicks{}, powerTicks{}
	p.Add(rules())
	p.Add(dots(points, draw.CircleGlyph{}, inkMain))
	d := drawing{ID: "transfer", Title: "Photon transfer", Says: transferSays(c.Noise), Table: table.typeset()}
	d.Keys = []plotKey{{"dots", "main", "measured"}}
	p.X.Min, p.X.Max = math.Floor(p.X.Min), math.Ceil(p.X.Max)
	if fit := transferFit(c.Noise.Model, p.X.Min, p.X.Max); fit != nil {
		p.Add(curveLine(fit, stroke(inkOther, 2)))
		d.Keys = append(d.Keys, plotKey{"line", "other", "read² + shot × light"})
	}
	p.Y.Min, p.Y.Max = math.Floor(p.Y.Min), math.Ceil(p.Y.Max)
	d.SVG = svg(p, d.ID, d.Title, d.Says)
	return d, true
}

func transferFit(m *Model, low, high float64) plotter.XYs {
	if m == nil {
		return nil
	}
	var line plotter.XYs
	for x := low; x <= high; x += 0.25 {
		v := m.Read*m.Read + m.Shot*nominalGrey*math.Exp2(x)
		if !(v > 0) {
			return nil
		}
		line = append(line, plotter.XY{X: x, Y: math.Log10(v)})
	}
	return line
}

func transferSays(n Noise) string {
	if n.Model == nil {
		says := "No model of read and shot noise fits"
		if n.ModelReason != "" {
			says += ": " + n.ModelReason
		}
		return typeset(says + ".")
	}
	return typeset("Variance is read² + shot × light, with read " + scientific(n.Model.Read) + " and shot " +
		scientific(n.Model.Shot) + " in scene-linear light, where nominal grey is 0.18.")
}
