package html

import (
	"html/template"
	"os"

	"stopledger/report"
	"stopledger/report/text"
)

// A picturesView is the frame of a clip in the ways it is shown.
type picturesView struct {
	Recorded, After, StopMap, Clipped template.URL
	Width, Height                     int // as a person sees it
	Changed                           bool
	AfterWords, Short, Through        string
	AltRecorded, AltAfter, AltMap     string
	Outline                           string // points of a polygon in the frame, or ""
	Probe                             *probe
	Bands                             []band
	Ticks                             []tick
}

// newPictures returns the pictures that are there, nil without the frame as recorded.
func newPictures(folder *os.Root, c *report.Clip) *picturesView {
	if c.Pictures == nil {
		return nil
	}
	v := &picturesView{
		Recorded: embedded(folder, c.Pictures.Recorded), StopMap: embedded(folder, c.Pictures.StopMap),
		Clipped: embedded(folder, c.Pictures.Clipped), Probe: newProbe(folder, c.Pictures.Levels),
		AfterWords: text.Typeset(changeOf(c).After()), Short: text.Typeset(doWords(c)), Through: through(c),
	}
	if v.Recorded == "" {
		return nil
	}
	if c.Advice.Correction() != 0 {
		v.After = embedded(folder, c.Pictures.After)
		v.Changed = v.After != ""
	}
	v.Width, v.Height = seenSize(c)
	v.Outline = greyOutline(c)
	v.Bands, v.Ticks = mapLegend()
	v.AltRecorded = text.Typeset("Frame as recorded, grey at " + greyWords(c) + ", " + text.Clipped(c) + " clipped.")
	v.AltAfter = text.Typeset("The same frame " + changeOf(c).After() + ".")
	v.AltMap = text.Typeset("Stop map of the same frame, " + text.Clipped(c) + " clipped.")
	return v
}
