package html

import (
	"fmt"
	"os"
	"path"
	"strings"

	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/chart"
	"stopledger/report/text"
)

type clipPage struct {
	frame
	status
	Name, Folder, Facts string
	Prev, Next          *pageLink
	Verdict             string
	Correction          *correction
	Figures             facts
	Ruler               *ruler
	Findings            []finding
	NextTake            string
	ForSNR              chart.Grid
	Pictures            *picturesView
	Through             string // the display file of the pictures; "" without one
	Strips              []stripView
	Waveform            *waveform
	Drawings            []chart.Drawing
	Method, Camera      facts
	Grids               []titledGrid
	Groups              []string
	Keys                [][2]string
}

// clipScripts are the parts of a clip's script, in the order they build on each other.
var clipScripts = []string{"divider.js", "viewer.js", "levels.js", "copy.js", "measure.js", "motion.js", "crops.js",
	"keys.js"}

// clipKeys are the keys of a clip's page, as keys.js reads them.
var clipKeys = [][2]string{{"← →", "the clip before, the next clip"}, {"space", "pause and play"},
	{", .", "a frame back, a frame on"},
	{"[ ]", "a group of measured frames back, a group on"}, {"c", "clipped areas"},
	{"f", "flip: as recorded, after the correction"},
	{"+ − 0", "zoom in, zoom out, fit"}, {"z", "full screen"},
	{"arrows on the frame", "move the point that is measured; with Shift stretch an area"}, {"?", "this list"}}

type pageLink struct{ Page, Name string }

// newClip is the page of c, which is clip i of those with these paths.
func newClip(folder *os.Root, doc *report.Document, paths []string, i int, c *report.Clip) clipPage {
	v := clipPage{
		frame:  newFrame(clipName(c), doc.Tool, []string{"base.css", "clip.css"}, clipScripts),
		status: statusOf(c),
		Name:   clipName(c), Folder: metadata.Printable(report.ClipDir(c.Path)), Facts: clipFacts(c),
		Verdict: typeset(c.Advice.Summary), Correction: newCorrection(c, doc.Settings, doc.Tool),
		Figures: keyFigures(c), Ruler: newRuler(c),
		Findings: findingsByLevel(c), NextTake: typeset(c.Advice.Next.Text), ForSNR: forSNR(c),
		Pictures: newPictures(folder, c, doc.Settings.ReadAs), Through: through(c),
		Strips: newStrips(folder, "../", c), Waveform: newWaveform(folder, c),
		Drawings: chart.OfClip(c), Method: methodFacts(c, doc.Settings), Camera: cameraFacts(c), Grids: evidence(c),
		Groups: groupLines(c), Keys: clipKeys,
	}
	v.Home, v.Sky, v.Reduced = "../"+report.IndexPage, clippedSky(c), c.Pictures != nil && c.Pictures.Reduced
	if i > 0 {
		v.Prev = linkTo(paths[i-1])
	}
	if i+1 < len(paths) {
		v.Next = linkTo(paths[i+1])
	}
	return v
}

func linkTo(clip string) *pageLink {
	return &pageLink{path.Base(report.ClipPage(clip)), metadata.Printable(report.ClipName(clip))}
}

// clipFacts are curve, codec, size, rate, length and timecode of a clip in a line.
func clipFacts(c *report.Clip) string {
	rate := ""
	if c.FrameRate > 0 && curve.Finite(c.FrameRate) {
		rate = text.Plain(c.FrameRate) + " fps"
	}
	codec := strings.TrimSpace(c.Codec + " " + c.Profile)
	return typeset(joined(" · ", c.Curve.Name, codec, sizeWords(c), rate, lengthWords(c), c.Timecode))
}

func sizeWords(c *report.Clip) string {
	if c.Width <= 0 {
		return ""
	}
	return fmt.Sprintf("%d × %d", c.Width, c.Height)
}

func lengthWords(c *report.Clip) string {
	if !(c.Duration > 0) || !curve.Finite(c.Duration) {
		return ""
	}
	return c.Duration.String()
}

// forSNR says which placement would give which shadows.
func forSNR(c *report.Clip) chart.Grid {
	t := chart.Grid{Head: []string{"shadows −4 (SNR)", "grey at", "zebra", "highlights"}}
	for _, n := range c.Advice.Next.For {
		t.Rows = append(t.Rows, []string{n.SNR.String(), n.Placement.Signed(1), n.Zebra.String(), holdWords(n.Clips)})
	}
	return t.Typeset()
}

// holdWords say whether highlights would clip.
func holdWords(clips *bool) string {
	switch {
	case clips == nil:
		return "not known"
	case *clips:
		return "would clip"
	}
	return "hold"
}
