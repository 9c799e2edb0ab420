package report

import (
	"html/template"
	"math"
	"os"
	"strings"
)

// A stripView is an enlarged piece of the picture in motion.
type stripView struct {
	Picture       template.URL
	Words         string
	SNR           string
	Grain         string // what the noise comes to on the display
	Place         string // where it lies in the frame
	Alt           string
	Width, Height int // of one frame as shown
	Frames        int
	Seconds       float64 // of one round
}

// slowest is the least time a frame of an enlarged piece stays, in seconds: faster footage is
// slowed to it, as screens show no more.
const slowest = 1.0 / 60

// newStripViews returns the enlarged pieces that can be shown.
func newStripViews(folder *os.Root, c Clip) (views []stripView) {
	if c.Pictures == nil {
		return nil
	}
	each := 1.0 / 25
	if c.FrameRate > 0 {
		each = math.Max(1/c.FrameRate, slowest)
	}
	for _, s := range c.Pictures.Strips {
		url := embedded(folder, s.File)
		if url == "" || s.Frames < 1 || s.Scale < 1 || s.Region.W < 1 || s.Region.H < 1 {
			continue
		}
		v := stripView{
			Picture: url, Words: typeset(stripWords(s, c)), Frames: s.Frames, Seconds: roundTo(each*float64(s.Frames), 3),
			Width: s.Region.W * s.Scale, Height: s.Region.H * s.Scale,
		}
		if c.Rotation == 90 || c.Rotation == 270 {
			v.Width, v.Height = v.Height, v.Width
		}
		v.SNR, v.Grain = stripSNR(s, c), stripGrain(s, c)
		v.Alt = strings.TrimSuffix("Dark area at 400 %, "+v.Words+", "+v.SNR, ", ")
		v.Place = stripPlace(s)
		views = append(views, v)
	}
	return views
}

// stripWords names the exposure change of a strip.
func stripWords(s Strip, c Clip) string {
	switch {
	case sameStops(s.Stops, 0):
		return "as recorded"
	case sameStops(s.Stops, correctionStops(c)):
		return afterWords(c)
	case s.Stops > 0:
		return "lifted by " + PlainStops(s.Stops, 1)
	}
	return "pulled by " + PlainStops(-s.Stops, 1)
}

func stripSNR(s Strip, c Clip) string {
	v, ok := known(s.SNR)
	switch {
	case c.Noise.Suppressed:
		return "no figure: the recording hides its noise"
	case !ok:
		return ""
	}
	return typeset(decibels1(v))
}

// stripGrain is the noise in lightness on the display at scene -4 stops, near which the area was
// chosen.
func stripGrain(s Strip, c Clip) string {
	g := gradedAt(c, s.Stops)
	if g == nil || c.Noise.Suppressed {
		return ""
	}
	for _, t := range g.Tones {
		if v, ok := known(t.SigmaL); ok && t.SceneStops == shadowTone {
			return "noise ±" + decimal(v, 1, false, "") + " of 100 in lightness"
		}
	}
	return ""
}

func stripPlace(s Strip) string {
	return typeset(decimal(float64(s.Region.W), 0, false, "") + " × " + decimal(float64(s.Region.H), 0, false, " px") +
		" at " + decimal(float64(s.Region.X), 0, false, "") + ", " + decimal(float64(s.Region.Y), 0, false, "") +
		", " + plural(s.Frames, "consecutive frame"))
}

// A waveformView is the waveform with its scale.
type waveformView struct {
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

func newWaveformView(folder *os.Root, c Clip) *waveformView {
	if c.Pictures == nil || c.Pictures.Waveform == "" {
		return nil
	}
	v := &waveformView{Picture: embedded(folder, c.Pictures.Waveform)}
	if v.Picture == "" {
		return nil
	}
	at := func(percent float64) float64 {
		return roundTo(100*(waveformHigh-percent)/(waveformHigh-waveformLow), 2)
	}
	for p := 0.0; p <= 100; p += 20 {
		v.Lines = append(v.Lines, waveformLine{at(p), typeset(decimal(p, 0, false, " %")), ""})
	}
	says := "Waveform of the frame in percent."
	if ceiling := c.Highlights.Ceiling; ceiling.Origin != "" && finite(ceiling.Percent) {
		v.Lines = append(v.Lines, waveformLine{at(ceiling.Percent), typeset("ceiling " + Percent(ceiling.Percent)), "ceiling"})
		says += " Ceiling at " + Percent(ceiling.Percent) + "."
	}
	if p := c.Placement; p != nil && finite(p.Percent) {
		v.Lines = append(v.Lines, waveformLine{at(p.Percent), typeset("grey " + Percent(p.Percent)), "grey"})
		says += " Grey at " + Percent(p.Percent) + "."
	}
	v.Alt = typeset(says)
	return v
}
