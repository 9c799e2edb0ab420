package html

import (
	"html/template"
	"math"
	"os"

	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/picture"
	"stopledger/report/text"
)

// A waveform is luma, and R, G and B beside it, with their scale.
type waveform struct {
	Parts []waveformPart
	Lines []waveformLine
	Says  string
}

// A waveformPart is one picture with the names of what stands in it, from left to right.
type waveformPart struct {
	Picture template.URL
	Names   []string
	Alt     string
}

// A waveformLine is a level marked on the waveform; Y is percent of the picture from its top, At where its
// words stand, which keep clear of each other.
type waveformLine struct {
	Y, At float64
	Words string
	Class string // "", grey or ceiling
}

// newWaveform returns the waveform, nil where there is no picture of it.
func newWaveform(folder *os.Root, c *report.Clip) *waveform {
	if c.Pictures == nil {
		return nil
	}
	v := &waveform{}
	for _, part := range []waveformPart{
		{embedded(folder, c.Pictures.Waveform), []string{"luma"}, "Waveform of luma."},
		{embedded(folder, c.Pictures.Channels), []string{"R", "G", "B"}, "Waveforms of R, G and B beside each other."},
	} {
		if part.Picture != "" {
			v.Parts = append(v.Parts, part)
		}
	}
	if len(v.Parts) == 0 {
		return nil
	}
	for p := curve.Percent(0); p <= 100; p += 20 {
		v.mark(p, text.Number(p, 0, " %"), "")
	}
	says := "Waveform of the frame in percent."
	if ceiling := c.Highlights.Ceiling; ceiling.Origin != "" && curve.Finite(ceiling.Percent) {
		v.mark(ceiling.Percent, "ceiling "+ceiling.Percent.String(), "ceiling")
		says += " Ceiling at " + ceiling.Percent.String() + "."
	}
	if p := c.Placement; p != nil && curve.Finite(p.Percent) {
		v.mark(p.Percent, "grey "+p.Percent.String(), "grey")
		says += " Grey at " + p.Percent.String() + "."
	}
	v.Says = text.Typeset(says)
	v.keepApart()
	return v
}

// mark draws a line at a level.
func (w *waveform) mark(level curve.Percent, words, class string) {
	const low, high = picture.WaveformLow, picture.WaveformHigh
	y := curve.Round(100*(high-float64(level))/(high-low), 2)
	w.Lines = append(w.Lines, waveformLine{y, y, text.Typeset(words), class})
}

// keepApart moves the words of grey and ceiling away from each other where they would touch.
func (w *waveform) keepApart() {
	const apart = 8 // percent of the height that words take on a phone
	n := len(w.Lines)
	if n < 2 || w.Lines[n-2].Class == "" {
		return
	}
	a, b := &w.Lines[n-2], &w.Lines[n-1]
	if near := apart - math.Abs(a.Y-b.Y); near > 0 {
		if a.Y > b.Y {
			a, b = b, a
		}
		a.At, b.At = curve.Round(a.At-near/2, 2), curve.Round(b.At+near/2, 2)
	}
}
