package html

import (
	"encoding/json"
	"html/template"
	"os"

	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/text"
)

// A picturesView is the frame of a clip in the ways it is shown.
type picturesView struct {
	Recorded, After, StopMap, Clipped template.URL
	FullRecorded, FullAfter           string // links to files beside the page; "" where they are not there
	Width, Height                     int    // as a person sees it
	Changed                           bool
	AfterWords, Short, Through        string
	AltRecorded, AltAfter, AltMap     string
	Outline                           string // points of a polygon in the frame, or ""
	Probe                             *probe
	Candidates                        []candidate
	Crops                             []crop
	Bands                             []band
	Ticks                             []tick
}

// newPictures returns the pictures that are there, nil without the frame as recorded.
func newPictures(folder *os.Root, c *report.Clip, read metadata.ReadAs) *picturesView {
	if c.Pictures == nil {
		return nil
	}
	v := &picturesView{
		Recorded: embedded(folder, c.Pictures.Recorded), StopMap: embedded(folder, c.Pictures.StopMap),
		Clipped: embedded(folder, c.Pictures.Clipped), Probe: newProbe(folder, c, read), Candidates: candidates(c),
		FullRecorded: beside(folder, "../", c.Pictures.FullRecorded),
		AfterWords:   text.Typeset(changeOf(c).After()), Short: text.Typeset(doWords(c)), Through: through(c),
	}
	if v.Recorded == "" {
		return nil
	}
	v.Width, v.Height = seenSize(c)
	v.addCrop(v.FullRecorded, "as recorded", c, 0)
	if stops := c.Advice.Correction(); stops != 0 {
		v.After = embedded(folder, c.Pictures.After)
		v.Changed = v.After != ""
		v.FullAfter = beside(folder, "../", c.Pictures.FullAfter)
		v.addCrop(v.FullAfter, v.AfterWords, c, stops)
	}
	v.Outline = greyOutline(c)
	v.Bands, v.Ticks = mapLegend()
	v.AltRecorded = text.Typeset("Frame as recorded, grey at " + greyWords(c) + ", " + text.Clipped(c) + " clipped.")
	v.AltAfter = text.Typeset("The same frame " + changeOf(c).After() + ".")
	v.AltMap = text.Typeset("Stop map of the same frame, " + text.Clipped(c) + " clipped.")
	return v
}

// A crop is a piece of the frame at full resolution, where a person chooses.
type crop struct {
	Full, Words, Alt string
	Width, Height    int    // of the frame as seen
	Tones            string // JSON: rows of recorded stops, noise in lightness and SNR, null where not known
}

func (v *picturesView) addCrop(full, words string, c *report.Clip, stops curve.Stops) {
	if full == "" {
		return
	}
	v.Crops = append(v.Crops, crop{Full: full, Words: words, Alt: "The place that was measured, " + words,
		Width: v.Width, Height: v.Height, Tones: tonesShown(c, stops)})
}

// tonesShown are the tones of a clip after an exposure change, for a page to look up.
func tonesShown(c *report.Clip, stops curve.Stops) string {
	rows := [][3]*float64{}
	known := func(v float64) *float64 {
		if v = curve.Round(v, 2); !curve.Finite(v) {
			return nil
		}
		return &v
	}
	if g := c.GradedAt(stops); g != nil && c.Placement != nil && !c.Noise.Suppressed {
		for _, t := range g.Tones {
			if at := known(float64(t.Scene + c.Placement.Stops)); at != nil {
				rows = append(rows, [3]*float64{at, known(float64(t.SigmaL)), known(float64(t.SNR))})
			}
		}
	}
	b, err := json.Marshal(rows)
	if err != nil {
		return "[]"
	}
	return string(b)
}
