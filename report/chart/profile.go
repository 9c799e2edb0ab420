package chart

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// isoTicks labels the ISOs measured on an axis of their logarithms to base two; where they lie close, every
// second one.
type isoTicks []int

// Ticks returns the ticks of the ISOs.
func (isos isoTicks) Ticks(low, high float64) (ticks []plot.Tick) {
	const closest = 1.0 / 9 // of the axis, for a label to have room
	last := math.Inf(-1)
	for _, one := range isos {
		t := plot.Tick{Value: isoAt(one)}
		if t.Value-last >= closest*(high-low) {
			t.Label, last = fmt.Sprint(one), t.Value
		}
		ticks = append(ticks, t)
	}
	return ticks
}

// isosOf returns the ISOs of a profile.
func isosOf(p *report.Profile) (isos isoTicks) {
	for _, one := range p.ISOs {
		isos = append(isos, one.ISO)
	}
	return isos
}

func isoAt(iso int) float64 { return math.Log2(float64(iso)) }

// OfProfile returns the plots of a camera's profile against ISO: noise before gain, and what lies between
// floor and ceiling. Those that there are no numbers for are left out.
func OfProfile(p *report.Profile) (drawings []Drawing) {
	for _, draw := range []func(*report.Profile) (Drawing, bool){beforeGain, usable} {
		if d, ok := draw(p); ok {
			drawings = append(drawings, d)
		}
	}
	return drawings
}

// beforeGain shows read noise before gain against ISO, in stops from the lowest ISO's.
func beforeGain(p *report.Profile) (Drawing, bool) {
	plotted := newPlot("ISO", "read noise before gain, stops")
	plotted.X.Tick.Marker, plotted.Y.Tick.Marker = isosOf(p), evenTicks{signed: true}
	var points plotter.XYs
	bars := spans{style: stroke(inkMain, 1)}
	first := curve.Unknown[curve.Light]()
	for _, one := range p.ISOs {
		in := one.Input
		if !(in.ReadLow > 0) {
			continue
		}
		if !curve.Finite(first) {
			first = in.Read
		}
		from := func(v curve.Light) float64 { return math.Log2(float64(v / first)) }
		points = append(points, plotter.XY{X: isoAt(one.ISO), Y: from(in.Read)})
		bars.add(isoAt(one.ISO), from(in.ReadLow), from(in.ReadHigh))
	}
	if len(points) < 2 {
		return Drawing{}, false
	}
	plotted.Add(rules(), bars, curveLine(points, stroke(inkMain, 1, 2, 3)), dots(points, draw.CircleGlyph{}, inkMain))
	room(plotted, 0.5)
	d := Drawing{ID: "before-gain", Title: "Noise before gain",
		Says: text.Typeset("Read noise at equal light by ISO, with 95 % intervals. Where it steps down the sensor is " +
			"switched to another base ISO; where it stays, gain brings nothing."),
		Keys: []Key{{"dots", "main", text.Typeset("read noise, with 95 % intervals")}}}
	d.draw(plotted)
	return d, true
}

// usable shows floor and ceiling against ISO in recorded stops.
func usable(p *report.Profile) (Drawing, bool) {
	plotted := newPlot("ISO", "recorded stops")
	plotted.X.Tick.Marker, plotted.Y.Tick.Marker = isosOf(p), stopTicks{}
	var floors, ceilings plotter.XYs
	bars := spans{style: stroke(inkMain, 1)}
	span := spans{style: stroke(inkLine, 4)}
	for _, one := range p.ISOs {
		x := isoAt(one.ISO)
		if curve.Finite(one.Floor) {
			floors = append(floors, plotter.XY{X: x, Y: float64(one.Floor)})
			span.add(x, float64(one.Floor), float64(one.Ceiling))
		}
		if curve.Finite(one.FloorLow) {
			bars.add(x, float64(one.FloorLow), float64(one.FloorHigh))
		}
		ceilings = append(ceilings, plotter.XY{X: x, Y: float64(one.Ceiling)})
	}
	if len(floors) == 0 {
		return Drawing{}, false
	}
	plotted.Add(rules(), span, bars, dots(floors, draw.CircleGlyph{}, inkMain),
		dots(ceilings, draw.SquareGlyph{}, inkOther))
	room(plotted, 0.5)
	d := Drawing{ID: "usable", Title: "Usable range",
		Says: text.Typeset("Recorded stops from the floor, where signal equals noise, to the ceiling, by ISO."),
		Keys: []Key{{"dots", "main", "floor"}, {"square", "other", "ceiling"}}}
	d.draw(plotted)
	return d, true
}

// room leaves room around what is plotted.
func room(p *plot.Plot, around float64) {
	p.X.Min, p.X.Max = p.X.Min-around, p.X.Max+around
	p.Y.Min, p.Y.Max = p.Y.Min-around, p.Y.Max+around
}

// OfLadder shows the noise of takes of an ISO ladder against ISO; nil of fewer than three.
func OfLadder(c *report.Comparison) *Drawing {
	if c.ISO == nil || len(c.ISO.Takes) < 3 {
		return nil
	}
	var points plotter.XYs
	var isos isoTicks
	bars := spans{style: stroke(inkMain, 1)}
	for _, t := range c.ISO.Takes {
		if !curve.Finite(t.SNR) {
			continue
		}
		isos = append(isos, t.ISO)
		points = append(points, plotter.XY{X: isoAt(t.ISO), Y: float64(t.SNR)})
		if curve.Finite(t.Low) && curve.Finite(t.High) {
			bars.add(isoAt(t.ISO), float64(t.Low), float64(t.High))
		}
	}
	if len(points) < 2 {
		return nil
	}
	slices.Sort(isos)
	plotted := newPlot("ISO", "signal-to-noise 4 stops under grey")
	plotted.X.Tick.Marker, plotted.Y.Tick.Marker = isos, evenTicks{unit: " dB"}
	plotted.Add(rules(), bars, dots(points, draw.CircleGlyph{}, inkMain))
	room(plotted, 0.5)
	d := &Drawing{ID: "ladder", Title: "Shadows by ISO", Says: text.Typeset(c.ISO.Text),
		Keys: []Key{{"dots", "main", text.Typeset("4 stops under grey, with 95 % intervals")}}}
	d.draw(plotted)
	return d
}
