package chart

import (
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// snr shows the signal-to-noise ratio by tone: as recorded with its intervals, after the
// correction, and as it would be had grey been placed at nominal.
func snr(c *report.Clip) (Drawing, bool) {
	points, bars, scene := snrPoints(c)
	if len(points) < 2 {
		return Drawing{}, false
	}
	axis := "stops from the subject's grey"
	if !scene {
		axis = "recorded stops from nominal grey"
	}
	p := newPlot(axis, "signal-to-noise")
	p.X.Tick.Marker, p.Y.Tick.Marker = stopTicks{}, evenTicks{unit: " dB"}
	p.Add(rules(), bars)
	d := Drawing{ID: "snr", Title: "Signal-to-noise by stop", Says: snrSays(c), Table: snrTable(c)}
	d.Keys = []Key{{"dots", "main", "as recorded, with 95 % intervals"}}
	corrected, nominal := gradedLines(c, scene)
	if len(nominal) > 1 {
		p.Add(curveLine(nominal, stroke(inkSoft, 1.5, 5, 3)))
		d.Keys = append(d.Keys, Key{"dashes", "soft", "had grey been at nominal"})
	}
	if len(corrected) > 1 {
		p.Add(curveLine(corrected, stroke(inkOther, 2)))
		d.Keys = append(d.Keys, Key{"line", "other", text.Typeset(after(c))})
	}
	p.Add(dots(points, draw.CircleGlyph{}, inkMain))
	p.X.Min, p.X.Max = p.X.Min-0.3, p.X.Max+0.3
	p.Y.Min, p.Y.Max = math.Min(p.Y.Min, 0), p.Y.Max+2
	d.draw(p)
	return d, true
}

// snrPoints returns the measured tones and their intervals. x is the tone of the scene, or of
// the recording where no grey is known, which scene tells.
func snrPoints(c *report.Clip) (points plotter.XYs, bars spans, scene bool) {
	scene = slices.ContainsFunc(c.Noise.Tones, func(t report.Tone) bool { return curve.Finite(t.Scene) })
	bars.style = stroke(inkMain, 1)
	for _, t := range c.Noise.Tones {
		x := t.Recorded
		if scene {
			x = t.Scene
		}
		if !curve.Finite(x) || !curve.Finite(t.SNR) {
			continue
		}
		points = append(points, plotter.XY{X: float64(x), Y: float64(t.SNR)})
		if curve.Finite(t.Low) && curve.Finite(t.High) {
			bars.add(float64(x), float64(t.Low), float64(t.High))
		}
	}
	return points, bars, scene
}

// gradedLines returns the SNR after the advised correction and at a nominal placement.
func gradedLines(c *report.Clip, scene bool) (after, nominal plotter.XYs) {
	g := c.GradedAt(c.Advice.Correction())
	if g == nil || !scene {
		return nil, nil
	}
	for _, t := range g.Tones {
		if curve.Finite(t.SNR) {
			after = append(after, plotter.XY{X: float64(t.Scene), Y: float64(t.SNR)})
		}
		if curve.Finite(t.Nominal) {
			nominal = append(nominal, plotter.XY{X: float64(t.Scene), Y: float64(t.Nominal)})
		}
	}
	return after, nominal
}

func snrSays(c *report.Clip) string {
	says := "Signal-to-noise by stop."
	if a := c.Advice.After; curve.Finite(a.SNR) {
		says += " 4 stops under grey it is " + a.SNR.String() + " " + after(c)
		if curve.Finite(a.Nominal) {
			says += ", " + a.Nominal.String() + " had grey been at nominal"
		}
		says += "."
	}
	if curve.Finite(c.Noise.Floor) {
		says += " It falls to 0 dB at " + c.Noise.Floor.Signed(1) + " recorded."
	}
	if c.Noise.Suppressed {
		says += " " + advise.Capital(advise.HiddenNoise(&c.Noise.Result)) + ", so these figures flatter it."
	}
	return text.Typeset(says)
}

func snrTable(c *report.Clip) Grid {
	t := Grid{Head: []string{"recorded", "scene", "code", "noise, codes", "SNR", "95 % interval", "cells"}}
	for _, tone := range c.Noise.Tones {
		interval := curve.Absent
		if curve.Finite(tone.Low) && curve.Finite(tone.High) {
			interval = text.Number(tone.Low, 1, " dB") + " to " + text.Number(tone.High, 1, " dB")
		}
		t.Rows = append(t.Rows, []string{
			tone.Recorded.Signed(2), tone.Scene.Signed(2), tone.Code.String(), sigmaWords(tone),
			text.Number(tone.SNR, 1, " dB"), interval, strconv.Itoa(tone.Cells),
		})
	}
	return t.Typeset()
}

// sigmaWords is the noise of a tone in codes, or what it is below.
func sigmaWords(t report.Tone) string {
	if !curve.Finite(t.SigmaCode) && curve.Finite(t.Below) {
		return "below " + text.Number(t.Below, 2, "")
	}
	return text.Number(t.SigmaCode, 2, "")
}
