package html

import (
	"fmt"
	"math"
	"os"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/analyze/limit"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// A stripView is an enlarged piece of the picture in motion.
type stripView struct {
	Picture       string // link to a file beside the page
	Words         string
	SNR           string
	Grain         string // what the noise comes to on the display
	Place         string // where it lies in the frame
	Through       string // the display file; "" without one
	Alt           string
	Width, Height int // of one frame as shown
	Across        int // of all frames
	Frames        int
	Seconds       float64 // of one round
}

// Lead is what differs from strip to strip: noise in lightness, or else the change of exposure.
func (s stripView) Lead() string {
	if s.Grain != "" {
		return s.Grain
	}
	return s.Words
}

// Notes are what else there is to say of it.
func (s stripView) Notes() (notes []string) {
	for _, note := range []string{s.Words, s.SNR, s.Through} {
		if note != "" && note != s.Lead() {
			notes = append(notes, note)
		}
	}
	return notes
}

// slowest is the least time a frame of an enlarged piece stays, in seconds: faster footage is
// slowed to it, as screens show no more.
const slowest = 1.0 / 60

// newStrips returns the enlarged pieces that can be shown; up leads from the page to the report's folder.
func newStrips(folder *os.Root, up string, c *report.Clip) (views []stripView) {
	if c.Pictures == nil {
		return nil
	}
	each := 1.0 / 25
	if c.FrameRate > 0 {
		each = math.Max(1/float64(c.FrameRate), slowest)
	}
	for _, s := range c.Pictures.Strips {
		url := beside(folder, up, s.File)
		if url == "" || s.Frames < 1 || s.Scale < 1 || s.Region.W < 1 || s.Region.H < 1 {
			continue
		}
		v := stripView{
			Picture: url, Words: text.Typeset(stripWords(s, c)), SNR: stripSNR(s, c), Grain: stripGrain(s, c),
			Place: stripPlace(s), Through: through(c), Frames: s.Frames, Seconds: curve.Round(each*float64(s.Frames), 3),
			Width: s.Region.W * s.Scale, Height: s.Region.H * s.Scale,
		}
		if c.Rotation == 90 || c.Rotation == 270 {
			v.Width, v.Height = v.Height, v.Width
		}
		v.Across = v.Width * v.Frames
		v.Alt = strings.TrimSuffix("Dark area at 400 %, "+v.Words+", "+v.SNR, ", ")
		views = append(views, v)
	}
	return views
}

// stripWords names the exposure change of a strip.
func stripWords(s report.Strip, c *report.Clip) string {
	switch {
	case report.SameChange(s.Stops, 0):
		return "as recorded"
	case report.SameChange(s.Stops, c.Advice.Correction()):
		return changeOf(c).After()
	case s.Stops > 0:
		return "lifted " + s.Stops.Short()
	}
	return "pulled " + (-s.Stops).Short()
}

func stripSNR(s report.Strip, c *report.Clip) string {
	switch {
	case c.Noise.Suppressed:
		return advise.HiddenNoise(&c.Noise.Result) + "; no figure given"
	case !curve.Finite(s.SNR):
		return ""
	}
	return text.Typeset(text.Number(s.SNR, 1, " dB"))
}

// stripGrain is the noise in lightness on the display at scene -4 stops, near which the area was
// chosen, or at the nearest tone within half a stop.
func stripGrain(s report.Strip, c *report.Clip) (words string) {
	g := c.GradedAt(s.Stops)
	if g == nil || c.Noise.Suppressed {
		return ""
	}
	near := curve.Stops(0.5)
	for _, t := range g.Tones {
		off := max(t.Scene-limit.Shadow, limit.Shadow-t.Scene)
		if curve.Finite(t.SigmaL) && off <= near {
			near, words = off, "noise ±"+text.Number(t.SigmaL, 1, "")+" of 100 in lightness"
		}
	}
	return words
}

func stripPlace(s report.Strip) string {
	r := s.Region
	place := fmt.Sprintf("%d × %d px at %d, %d, ", r.W, r.H, r.X, r.Y)
	return text.Typeset(place + text.Plural(s.Frames, "consecutive frame"))
}
