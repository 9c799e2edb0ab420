package html

import (
	"fmt"
	"strings"

	"stopledger/report"
	"stopledger/report/chart"
	"stopledger/report/text"
)

type days struct {
	frame
	Headline string
	Rest     string
	Drawings []chart.Drawing
	Table    chart.Grid
	Audits   []string
	Unread   []report.Failure
}

// WriteDays writes a page of many audits by day: timelines, and a table of days, cameras and ISOs.
func WriteDays(path string, d *report.Days) error {
	v := days{
		frame:    newFrame("Exposure by day", d.Tool, []string{"base.css", "index.css", "clip.css"}, nil),
		Headline: daysHeadline(d), Rest: typeset(text.DaysSummary(d)), Drawings: chart.OfDays(d),
		Table: chart.Grid{Head: text.DayHeads, Rows: text.DayRows(d)}.Typeset(),
	}
	for _, dir := range d.Audits {
		v.Audits = append(v.Audits, typeset(dir))
	}
	for _, f := range d.Unread {
		v.Unread = append(v.Unread, report.Failure{Path: typeset(f.Path), Error: typeset(f.Error)})
	}
	return writePage(path, "days", v)
}

// daysHeadline says from when to when, and what was asked for.
func daysHeadline(d *report.Days) string {
	if len(d.Days) == 0 {
		return "No clip was recorded then"
	}
	var of []string
	if d.Camera != "" {
		of = append(of, fmt.Sprintf("of cameras named %q", d.Camera))
	}
	first, last := d.Days[0].Date, d.Days[len(d.Days)-1].Date
	when := "Exposure from " + first + " to " + last
	if first == last {
		when = "Exposure on " + first
	}
	return typeset(strings.Join(append([]string{when}, of...), " "))
}
