package html

import (
	"html/template"
	"os"

	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/picture"
	"stopledger/report/text"
)

// A waveform is the waveform's picture with its scale.
type waveform struct {
	Picture template.URL
	Lines   []waveformLine
	Alt     string
}

// A waveformLine is a level marked on the waveform; Y is percent of the picture from its top.
type waveformLine struct {
	Y     float64
	Words string
	Class string // "", grey or ceiling
}

// newWaveform returns the waveform, nil where there is no picture of it.
func newWaveform(folder *os.Root, c *report.Clip) *waveform {
	if c.Pictures == nil || c.Pictures.Waveform == "" {
		return nil
	}
	v := &waveform{Picture: embedded(folder, c.Pictures.Waveform)}
	if v.Picture == "" {
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
	v.Alt = text.Typeset(says)
	return v
}

// mark draws a line at a level.
func (w *waveform) mark(level curve.Percent, words, class string) {
	const low, high = picture.WaveformLow, picture.WaveformHigh
	y := curve.Round(100*(high-float64(level))/(high-low), 2)
	w.Lines = append(w.Lines, waveformLine{y, text.Typeset(words), class})
}
