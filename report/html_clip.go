package report

import (
	"fmt"
	"html/template"
	"os"
	"path"
	"strings"
)

type clipPageView struct {
	frame
	status
	Name, Folder, Facts string
	Prev, Next          *pageLink
	Verdict             string
	Figures             []keyFigure
	Ruler               *ruler
	Findings            []Finding
	NextTake            string
	ForSNR              grid
	Pictures            *picturesView
	Strips              []stripView
	Waveform            *waveformView
	Drawings            []drawing
	Method, Camera      []keyFigure
	Grids               []titledGrid
}

type pageLink struct{ Page, Name string }

// A keyFigure is a number with its name and what qualifies it.
type keyFigure struct{ Label, Value, Note string }

type titledGrid struct {
	Title string
	grid
}

func newClipPage(folder *os.Root, doc *Document, i int) clipPageView {
	c := doc.Clips[i]
	name := Printable(clipName(c.Path))
	v := clipPageView{
		frame:  newFrame(name, doc.Tool, []string{"base.css", "clip.css"}, []string{"clip.js"}),
		status: statusOf(c), Name: name, Folder: Printable(clipDir(c.Path)), Facts: clipFacts(c),
		Verdict: typeset(Printable(Verdict(c))), Figures: keyFigures(c), Ruler: newRuler(c),
		Findings: findingsByLevel(c), NextTake: typeset(Printable(c.Advice.Next.Text)), ForSNR: forSNRGrid(c),
		Pictures: newPicturesView(folder, c), Waveform: newWaveformView(folder, c),
		Method: methodFacts(c, doc.Settings), Camera: cameraFacts(c), Grids: evidenceGrids(c),
	}
	v.Home, v.Sky = "../"+indexPageName, clippedSky(c)
	v.Strips = newStripViews(folder, c)
	if i > 0 {
		v.Prev = linkTo(doc.Clips[i-1])
	}
	if i+1 < len(doc.Clips) {
		v.Next = linkTo(doc.Clips[i+1])
	}
	for _, draw := range []func(Clip) (drawing, bool){
		histogramDrawing, snrDrawing, transferDrawing, placementDrawing, clippedDrawing,
	} {
		if d, ok := draw(c); ok {
			v.Drawings = append(v.Drawings, d)
		}
	}
	return v
}

func linkTo(c Clip) *pageLink {
	return &pageLink{path.Base(clipPage(c.Path)), Printable(clipName(c.Path))}
}

func clipFacts(c Clip) string {
	facts := []string{c.Curve.Name, strings.TrimSpace(c.Codec + " " + c.Profile)}
	if c.Width > 0 {
		facts = append(facts, fmt.Sprintf("%d × %d", c.Width, c.Height))
	}
	if c.FrameRate > 0 {
		facts = append(facts, plainNumber(c.FrameRate)+" fps")
	}
	if c.DurationS > 0 {
		facts = append(facts, Seconds(c.DurationS))
	}
	facts = append(facts, c.Timecode)
	return typeset(Printable(strings.Join(without(facts, ""), " · ")))
}

// keyFigures are the five numbers a clip is judged by.
func keyFigures(c Clip) []keyFigure {
	list := []keyFigure{
		{"Grey", cellGrey(c), greyNote(c.Placement)},
		{"Do", cellAdvice(c), "before the display transform"},
		{"Shadows", cellShadows(c), shadowNote(c)},
		{"Clipped", cellClipped(c), areasInWords(c.Highlights)},
		{"Floor", cellFloor(c), floorNote(c.Noise)},
	}
	switch list[1].Value {
	case "hold":
		list[1].Note = "no change is advised"
	case Absent:
		list[1].Value, list[1].Note = "hold", "no ground for a change"
	}
	for i := range list {
		list[i].Value, list[i].Note = typeset(list[i].Value), typeset(list[i].Note)
		if list[i].Value == Absent {
			list[i].Value = "not measured"
		}
	}
	return list
}

func greyNote(p *Placement) string {
	if p == nil {
		return "no grey was found"
	}
	note := greySource(p)
	if finite(p.Low) && finite(p.High) && p.High > p.Low {
		digits := placementDigits(p)
		note += ", 95 % " + decimal(p.Low, digits, true, "") + " to " + decimal(p.High, digits, true, "")
	}
	if p.Weak {
		note += ", weak"
	}
	return note
}

func shadowNote(c Clip) string {
	if c.Noise.Suppressed {
		return "the recording hides its noise"
	}
	note := "at scene -4 stops"
	if correctionStops(c) != 0 {
		note += ", " + afterWords(c)
	}
	if v, ok := known(c.Advice.After.NominalSNR); ok {
		note += "; " + Decibels(v) + " at nominal"
	}
	return note
}

func floorNote(n Noise) string {
	if v, ok := known(n.UsableStops); ok && !n.Suppressed {
		return PlainStops(v, 1) + " from there to the ceiling"
	}
	return "where signal and noise are equal"
}

// forSNRGrid says which placement would give which shadows.
func forSNRGrid(c Clip) grid {
	t := grid{Head: []string{"shadows at −4", "grey at", "zebra"}}
	for _, n := range c.Advice.Next.For {
		t.Rows = append(t.Rows, []string{Decibels(n.SNR), optional(n.Stops, signedStops1), optional(n.Zebra, Percent)})
	}
	return t.typeset()
}

// A picturesView is the frame of a clip in the ways it is shown.
type picturesView struct {
	Recorded, After, StopMap, Clipped template.URL
	Width, Height                     int // as a person sees it
	Changed                           bool
	AfterWords, Short                 string
	AltRecorded, AltAfter, AltMap     string
	Outline                           string // points of a polygon in the frame, or ""
	Probe                             *probeGrid
	Bands                             []legendBand
	Ticks                             []rulerTick
}

func newPicturesView(folder *os.Root, c Clip) *picturesView {
	if c.Pictures == nil {
		return nil
	}
	v := &picturesView{
		Recorded: embedded(folder, c.Pictures.Recorded), StopMap: embedded(folder, c.Pictures.StopMap),
		Clipped: embedded(folder, c.Pictures.Clipped), Probe: newProbeGrid(folder, c.Pictures.Levels),
		Changed: correctionStops(c) != 0, AfterWords: typeset(afterWords(c)), Short: typeset(cellAdvice(c)),
	}
	if v.Recorded == "" {
		return nil
	}
	if v.Changed {
		v.After = embedded(folder, c.Pictures.After)
		v.Changed = v.After != ""
	}
	v.Width, v.Height = seenSize(c)
	v.Outline = greyOutline(c)
	v.Bands, v.Ticks = mapLegend()
	v.AltRecorded = typeset("Frame as recorded, grey at " + cellGrey(c) + ", " + cellClipped(c) + " clipped.")
	v.AltAfter = typeset("The same frame " + afterWords(c) + ".")
	v.AltMap = typeset("Stop map of the same frame, " + cellClipped(c) + " clipped.")
	return v
}

// seenSize returns the frame's size as a person sees it, after its rotation.
func seenSize(c Clip) (w, h int) {
	w, h = max(c.Width, 1), max(c.Height, 1)
	if c.Rotation == 90 || c.Rotation == 270 {
		w, h = h, w
	}
	return w, h
}

// greyOutline returns the polygon in which grey was found, in pixels of the frame as seen.
func greyOutline(c Clip) string {
	p := c.Placement
	if p == nil || p.Carried != "" {
		return ""
	}
	corners := p.Corners
	if r := p.Region; len(corners) < 3 && r != nil {
		corners = [][2]int{{r.X, r.Y}, {r.X + r.W, r.Y}, {r.X + r.W, r.Y + r.H}, {r.X, r.Y + r.H}}
	}
	var points []string
	for _, k := range corners {
		x, y := turnedPoint(c, k[0], k[1])
		points = append(points, fmt.Sprintf("%d,%d", x, y))
	}
	return strings.Join(points, " ")
}

// turnedPoint returns where a point of the frame as coded lies in the frame as seen.
func turnedPoint(c Clip, x, y int) (int, int) {
	switch c.Rotation {
	case 90:
		return c.Height - y, x
	case 180:
		return c.Width - x, c.Height - y
	case 270:
		return y, c.Width - x
	}
	return x, y
}
