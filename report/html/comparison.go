package html

import (
	"os"

	"stopledger/report"
	"stopledger/report/chart"
	"stopledger/report/text"
)

type comparison struct {
	frame
	Headline, Reason string
	Takes            []take
	Framed           bool // at least two takes have a frame to compare
	Moving           bool // at least two takes have an enlarged piece
	Chosen           bool // at least two takes have a frame at full resolution
	Matched          bool // every take is brought to its target, so all are equally bright
	Width, Height    int
	Through          string     // the display file of all pictures; "" without one
	Settings         chart.Grid // of the cameras
	ISO              string     // what it did; "" where the takes do not differ by it
	Ladder           *chart.Drawing
	LadderTable      chart.Grid
	Drawing          *chart.Drawing
	Table            versus
	Failed           []text.FailureGroup
}

// takeScripts are the parts of the script of takes, in the order they build on each other.
var takeScripts = []string{"divider.js", "viewer.js", "motion.js", "crops.js", "compare.js", "keys.js"}

// newComparison is the page of takes side by side.
func newComparison(folder *os.Root, c *report.Comparison) comparison {
	styles, scripts := []string{"base.css", "clip.css", "compare.css"}, takeScripts
	v := comparison{
		frame:    newFrame("Takes side by side", c.Tool, styles, scripts),
		Headline: text.Plural(len(c.Clips), "take") + " side by side", Reason: typeset(c.Recommendation.Reason),
		Drawing: chart.OfTakes(c.Takes), Table: newVersus(c.Takes), Failed: text.FailureGroups(c.Failed),
	}
	if isFile(folder, report.IndexPage) {
		v.Home = report.IndexPage
	}
	v.Settings = chart.Grid{Head: text.SettingHeads, Rows: text.SettingRows(c)}.Typeset()
	if c.ISO != nil {
		v.ISO, v.Ladder = typeset(c.ISO.Text), chart.OfLadder(c)
		v.LadderTable = chart.Grid{Head: text.LadderHeads, Rows: text.LadderRows(c)}.Typeset()
	}
	v.addTakes(folder, c)
	return v
}

// addTakes adds the takes with their pictures.
func (v *comparison) addTakes(folder *os.Root, c *report.Comparison) {
	frames, full, strips := 0, 0, 0
	v.Matched = true
	for i := range c.Clips {
		clip := &c.Clips[i]
		t := newTake(folder, clip, i)
		v.Through = through(clip)
		t.Chosen = c.Recommendation.Take != nil && *c.Recommendation.Take == i+1
		v.Sky = v.Sky || clippedSky(clip)
		v.Matched = v.Matched && clip.Placement != nil && !clip.Placement.Weak
		if t.Picture != "" {
			frames++
			v.Width, v.Height = seenSize(clip)
			t.Layer = map[int]string{1: "first", 2: "second"}[frames]
		}
		if t.Full != "" {
			full++
		}
		if t.Strip != nil {
			strips++
		}
		v.Takes = append(v.Takes, t)
	}
	v.Framed, v.Chosen, v.Moving = frames > 1, full > 1, strips > 1
}
