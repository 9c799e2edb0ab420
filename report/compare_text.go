package report

import (
	"io"
	"math"
	"strings"
)

// WriteComparisonText writes takes side by side: a row a figure, a column a take, and under the
// first take's value of each other take its difference. "~" stands for a difference that cannot
// be told from none.
func WriteComparisonText(w io.Writer, c Comparison, layout Layout) error {
	var b strings.Builder
	for i, t := range c.Takes {
		b.WriteString(layout.paint(styleHead, letter(i)) + "  " + Printable(t.Path) + "\n")
		b.WriteString(Wrap(Printable(Verdict(c.Clips[i])), "   ", layout.Width))
	}
	for _, f := range c.Failed {
		b.WriteString(Wrap("not measured: "+Printable(f.Path)+": "+Printable(f.Error), "", layout.Width))
	}
	if len(c.Takes) > 0 {
		b.WriteString("\n" + comparisonTable(c, layout))
	}
	b.WriteString("\n" + Wrap(Printable(c.Recommendation.Reason), "", layout.Width))
	_, err := io.WriteString(w, b.String())
	return err
}

// Widths of the comparison's columns.
const (
	figureWidth     = 17
	valueWidth      = 12
	differenceWidth = 20
)

// comparisonTable lays takes out in columns; where the terminal is too narrow for all of them,
// in several tables below each other, the first take's column in each.
func comparisonTable(c Comparison, layout Layout) string {
	each := len(c.Takes)
	if layout.Width > 0 {
		left := layout.Width - figureWidth - gapWidth - valueWidth
		each = max(1, left/(gapWidth+valueWidth+differenceWidth))
	}
	var tables []string
	for from := 1; from == 1 || from < len(c.Takes); from += each {
		tables = append(tables, someTakes(c, from, min(from+each, len(c.Takes)), layout))
	}
	return strings.Join(tables, "\n")
}

// someTakes is the table of takes from..to-1 beside the first.
func someTakes(c Comparison, from, to int, layout Layout) string {
	heads := pad("", figureWidth, false) + "  " + pad("A", valueWidth, true)
	for i := from; i < to; i++ {
		heads += "  " + pad(letter(i), valueWidth, true) + pad("less A", differenceWidth, true)
	}
	text := layout.paint(styleHead, heads) + "\n"
	for row, f := range c.Takes[0].Figures {
		text += pad(figureName(f), figureWidth, false) + "  " + pad(figureValue(f), valueWidth, true)
		for _, t := range c.Takes[from:to] {
			other := t.Figures[row]
			text += "  " + pad(figureValue(other), valueWidth, true) + pad(figureDifference(other), differenceWidth, true)
		}
		text += "\n"
	}
	return text
}

var figureNames = map[string]string{
	"placement": "grey", "headroom": "headroom",
	"floor": "floor", "scene_floor": "floor from grey",
	"ceiling": "ceiling", "scene_ceiling": "ceiling from grey",
	"clipped_r": "clipped red", "clipped_g": "clipped green", "clipped_b": "clipped blue",
	"clipped_any": "clipped any", "clipped_all": "clipped all",
}

func figureName(f Figure) string {
	if f.SceneStops != nil && *f.SceneStops == 0 {
		return "SNR at grey"
	}
	if f.SceneStops != nil {
		return "SNR at " + decimal(*f.SceneStops, 0, true, " stops")
	}
	return figureNames[f.Name]
}

func figureValue(f Figure) string {
	if f.Value == nil {
		return Absent
	}
	switch f.Unit {
	case "dB":
		return Decibels(f.Value.Value)
	case "share":
		return Share(f.Value.Value)
	}
	if f.Name == "headroom" {
		return PlainStops(f.Value.Value, 1)
	}
	return SignedStops(f.Value.Value, estimateDigits(f.Value))
}

// figureDifference prints "+1.63 ±0.04 stops", half the 95 % interval after the sign, or "~".
func figureDifference(f Figure) string {
	d := f.Difference
	if d == nil {
		return Absent
	}
	digits, scale, unit := estimateDigits(&d.Estimate), 1.0, " "+f.Unit
	switch f.Unit {
	case "share":
		scale, unit = 100, " %"
	case "dB":
		digits = 1
	}
	if !d.Told || roundTo(d.Value*scale, digits) == 0 {
		return "~"
	}
	half := ""
	if d.Low != nil {
		// An interval is never printed as nothing.
		half = " ±" + decimal(max((*d.High-*d.Low)/2*scale, math.Pow10(-digits)), digits, false, "")
	}
	return decimal(d.Value*scale, digits, true, "") + half + unit
}

func estimateDigits(e *Estimate) int {
	if e.Low == nil {
		return 1
	}
	return StopsDigits(*e.Low, *e.High)
}
