package chart

import (
	"math"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"stopledger/analyze/noise"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// transfer is the photon transfer curve: the variance of the noise against the light, on
// logarithmic scales, with the fitted model.
func transfer(c *report.Clip) (Drawing, bool) {
	points, table := transferPoints(c)
	if len(points) < 2 {
		return Drawing{}, false
	}
	p := newPlot("light, recorded stops from nominal grey", "variance of linear light")
	p.X.Tick.Marker, p.Y.Tick.Marker = stopTicks{}, powerTicks{}
	p.Add(rules())
	p.Add(dots(points, draw.CircleGlyph{}, inkMain))
	d := Drawing{ID: "transfer", Title: "Noise model", Says: transferSays(&c.Noise), Table: table}
	d.Keys = []Key{{"dots", "main", "measured"}}
	p.X.Min, p.X.Max = math.Floor(p.X.Min), math.Ceil(p.X.Max)
	if fit := transferFit(c.Noise.Model, p.X.Min, p.X.Max); fit != nil {
		p.Add(curveLine(fit, stroke(inkOther, 2)))
		d.Keys = append(d.Keys, Key{"line", "other", "read² + shot × light"})
	}
	p.Y.Min, p.Y.Max = math.Floor(p.Y.Min), math.Ceil(p.Y.Max)
	d.draw(p)
	return d, true
}

// transferPoints returns the variance of the measured tones as logarithms to base ten by recorded
// stops, and the table of them.
func transferPoints(c *report.Clip) (plotter.XYs, Grid) {
	var points plotter.XYs
	table := Grid{Head: []string{"recorded", "linear", "variance", "fit"}}
	for _, t := range c.Noise.Tones {
		if !curve.Finite(t.SigmaLinear) || !(t.SigmaLinear > 0) || !curve.Finite(t.Recorded) {
			continue
		}
		sigma := float64(t.SigmaLinear)
		points = append(points, plotter.XY{X: float64(t.Recorded), Y: 2 * math.Log10(sigma)})
		fit := curve.Absent
		if m := c.Noise.Model; m != nil {
			fit = text.Scientific(variance(m, t.Recorded))
		}
		light := text.Scientific(t.Recorded.Light())
		table.Rows = append(table.Rows, []string{t.Recorded.Signed(2), light, text.Scientific(sigma * sigma), fit})
	}
	return points, table.Typeset()
}

// variance is the model's, in linear light squared.
func variance(m *noise.Model, recorded curve.Stops) float64 {
	return float64(m.Read*m.Read + m.Shot*recorded.Light())
}

func transferFit(m *noise.Model, low, high float64) plotter.XYs {
	if m == nil {
		return nil
	}
	var line plotter.XYs
	for x := low; x <= high; x += 0.25 {
		v := variance(m, curve.Stops(x))
		if !(v > 0) || !curve.Finite(v) {
			return nil
		}
		line = append(line, plotter.XY{X: x, Y: math.Log10(v)})
	}
	return line
}

func transferSays(n *report.Noise) string {
	if n.Model == nil {
		says := "No model of read and shot noise fits"
		if n.ModelReason != "" {
			says += ": " + n.ModelReason
		}
		return text.Typeset(says + ".")
	}
	return text.Typeset("Variance is read² + shot × light, with read " + text.Scientific(n.Model.Read) + " and shot " +
		text.Scientific(n.Model.Shot) + " in scene-linear light, where nominal grey is 0.18.")
}
