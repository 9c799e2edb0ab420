package html

import (
	"os"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/chart"
	"stopledger/report/text"
)

type comparison struct {
	frame
	Headline        string // how many takes there are
	Verdict, Reason string // a recommendation, or that there is none and why
	Takes           []take
	Framed          bool // at least two takes have a frame to compare
	Moving          bool // at least two takes have an enlarged piece
	Chosen          bool // at least two takes have a frame at full resolution
	Matched         bool // every take is brought to its target, so all are equally bright
	Width, Height   int
	Through         string // the display file of all pictures; "" without one
	Settings        settings
	ISO             string // what it did; "" where the takes do not differ by it
	Ladder          *chart.Drawing
	LadderTable     chart.Grid
	Drawing         *chart.Drawing
	Table           versus
	Failed          []text.FailureGroup
	Keys            [][2]string
}

// takeScripts are the parts of the script of takes, in the order they build on each other.
var takeScripts = []string{"divider.js", "viewer.js", "motion.js", "crops.js", "compare.js", "keys.js"}

var takeKeys = [][2]string{{"f", "flip between the two takes"}, {"space", "pause and play"},
	{", .", "a frame back, a frame on"}, {"+ − 0", "zoom in, zoom out, fit"}, {"z", "full screen"}, {"?", "this list"}}

// newComparison is the page of takes side by side.
func newComparison(folder *os.Root, c *report.Comparison) comparison {
	styles, scripts := []string{"base.css", "clip.css", "compare.css"}, takeScripts
	v := comparison{
		frame:    newFrame("Takes side by side", c.Tool, styles, scripts),
		Headline: text.Plural(len(c.Clips), "take") + " side by side", Settings: newSettings(c),
		Drawing: chart.OfTakes(c.Takes), Table: newVersus(c.Takes), Failed: text.FailureGroups(c.Failed), Keys: takeKeys,
	}
	if isFile(folder, report.IndexPage) {
		v.Home = report.IndexPage
	}
	v.Verdict, v.Reason = verdictOf(c.Recommendation)
	if c.ISO != nil {
		v.ISO, v.Ladder = typeset(c.ISO.Text), chart.OfLadder(c)
		v.LadderTable = chart.Grid{Head: text.LadderHeads, Rows: text.LadderRows(c)}.Typeset()
	}
	v.addTakes(folder, c)
	return v
}

// verdictOf splits what is said of takes: that none is recommended or better stands alone, with the reason
// under it.
func verdictOf(r advise.Recommendation) (verdict, reason string) {
	before, after, split := strings.Cut(typeset(r.Reason), ": ")
	if !split || r.Take != nil || !strings.HasPrefix(before, "No take") {
		return typeset(r.Reason), ""
	}
	return before + ".", strings.ToUpper(after[:1]) + after[1:]
}

// settings are what the cameras say of themselves: a row a setting and a column a take, and in words what is
// the same in all.
type settings struct {
	chart.Grid
	Alike string
}

func newSettings(c *report.Comparison) (s settings) {
	rows := text.SettingRows(c)
	if len(rows) == 0 {
		return s
	}
	s.Head = []string{"setting"}
	for _, take := range rows {
		s.Head = append(s.Head, take[0])
	}
	var alike []string
	for k, name := range text.SettingHeads[1:] {
		row, same := []string{name}, true
		for _, take := range rows {
			row = append(row, take[k+1])
			same = same && take[k+1] == rows[0][k+1]
		}
		switch {
		case !same:
			s.Rows = append(s.Rows, row)
		case row[1] != curve.Absent:
			alike = append(alike, name+" "+row[1])
		}
	}
	s.Grid = s.Grid.Typeset()
	if len(alike) > 0 {
		s.Alike = text.Typeset("The same in all takes: " + strings.Join(alike, ", ") + ".")
	}
	return s
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
