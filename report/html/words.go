package html

import (
	"cmp"
	"html/template"
	"path/filepath"
	"slices"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/text"
)

// A status says whether a clip is to be checked by eye, and whether it shows where grey is.
type status struct {
	Level advise.Level // of the worst finding; a note where there is nothing worse
	Key   string       // what the index narrows by
	Words string
}

// The states of a clip, in the order in which they are looked at.
var statuses = []status{
	{advise.Alarm, "alarm", "Check by eye"},
	{advise.Caution, "caution", "Check"},
	{advise.Note, "no-grey", "No grey reference"},
	{advise.Note, "ok", "OK"},
}

func statusOf(c *report.Clip) status {
	switch worst := c.Advice.Worst(); {
	case worst == advise.Alarm:
		return statuses[0]
	case worst == advise.Caution:
		return statuses[1]
	case c.Placement == nil || c.Placement.Weak:
		return statuses[2]
	}
	return statuses[3]
}

// icon returns the sign of a level. Each has a shape of its own, so that colour is not needed.
func icon(level advise.Level) template.HTML {
	const open = `<svg class="icon" viewBox="0 0 16 16" aria-hidden="true">`
	switch level {
	case advise.Alarm:
		return open + `<path d="M8 1 15.5 15H.5z"/><path class="in" d="M8 5.6v4.6M8 12v1.4"/></svg>`
	case advise.Caution:
		return open + `<path d="M8 .8 15.2 8 8 15.2.8 8z"/></svg>`
	}
	return open + `<circle class="ring" cx="8" cy="8" r="5.6"/></svg>`
}

// A finding is one thing to know, as a page shows it.
type finding struct {
	Level advise.Level
	Text  string
}

// findingsByLevel returns a clip's findings, the gravest first.
func findingsByLevel(c *report.Clip) []finding {
	var list []finding
	for _, f := range c.Advice.Findings {
		list = append(list, finding{f.Level, typeset(f.Text)})
	}
	slices.SortStableFunc(list, func(a, b finding) int { return cmp.Compare(b.Level.Rank(), a.Level.Rank()) })
	return list
}

// typeset makes a text printable and typesets it.
func typeset(s string) string { return text.Typeset(metadata.Printable(s)) }

// changeOf is the advised correction as it is printed.
func changeOf(c *report.Clip) advise.Change { return c.Advice.Change(c.Placement) }

func greyWords(c *report.Clip) string { return advise.Grey(c.Placement) }

func doWords(c *report.Clip) string { return c.Advice.Do(c.Placement) }

func clipName(c *report.Clip) string { return metadata.Printable(report.ClipName(c.Path)) }

// joined joins the parts that are not empty.
func joined(between string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), between)
}

// intervalWords are both ends of an interval, "" where it is not known or has no width.
func intervalWords(low, high curve.Stops) string {
	if !curve.Finite(low) || !curve.Finite(high) || !(high > low) {
		return ""
	}
	decimals := curve.StopsDecimals(low, high)
	return text.Signed(low, decimals, "") + " to " + text.Signed(high, decimals, "")
}

// through names the display file that the pictures of a clip are shown through, "" for the built-in
// rendering.
func through(c *report.Clip) string {
	if c.Advice.After.Display == nil {
		return ""
	}
	return "through " + displayName(c.Advice.After.Display.File)
}

func displayName(path string) string { return metadata.Printable(filepath.Base(path)) }

// whole is a percentage without decimals.
func whole(p curve.Percent) string { return text.Number(p, 0, " %") }
