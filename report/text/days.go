package text

import (
	"fmt"
	"io"
	"strings"

	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// DayHeads are the heads of DayRows.
var DayHeads = []string{"day", "camera", "ISO", "clips", "grey", "from", "to", "floor", "clipped", "most"}

// DayRows returns a row for each day, camera and ISO: medians, and how far grey and clipping lie apart.
func DayRows(d *report.Days) (rows [][]string) {
	for _, day := range d.Days {
		for _, g := range day.Groups {
			rows = append(rows, []string{day.Date, CameraWords(g.Camera), isoWords(g.ISO), fmt.Sprint(g.Clips),
				stopsOf(g.Placement.Median), stopsOf(g.Placement.Least), stopsOf(g.Placement.Most),
				stopsOf(g.Floor.Median), shareOf(g.Clipped.Median), shareOf(g.Clipped.Most)})
		}
	}
	return rows
}

// CameraWords names a camera, which may not be known.
func CameraWords(name string) string {
	if name == "" {
		return "not named"
	}
	return metadata.Printable(name)
}

func isoWords(iso int) string {
	if iso == 0 {
		return curve.Absent
	}
	return fmt.Sprint(iso)
}

func stopsOf(v curve.Stops) string { return Signed(v, 2, "") }

func shareOf(v curve.Share) string {
	if !curve.Finite(v) {
		return curve.Absent
	}
	return v.String()
}

// DaysSummary says how many clips of how many audits were counted, and how they were dated.
func DaysSummary(d *report.Days) string {
	byFile, noGrey, zones := 0, 0, map[string]bool{}
	for _, day := range d.Days {
		byFile += day.ByFileTime
		for _, zone := range day.Zones {
			zones[zone] = true
		}
		for _, g := range day.Groups {
			noGrey += g.NoGrey
		}
	}
	parts := []string{Plural(d.Clips, "clip") + " on " + Plural(len(d.Days), "day") + ", from " +
		Plural(len(d.Audits), "audit")}
	add := func(n int, words string) {
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, words))
		}
	}
	add(d.Again, "audited more than once, counted once")
	add(noGrey, "without grey")
	add(byFile, "dated by file time")
	add(d.Undated, "left out for want of a date")
	return strings.Join(parts, ", ") + "." + zoneWords(d)
}

// zoneWords names the zones that days are in.
func zoneWords(d *report.Days) string {
	var zones []string
	seen := map[string]bool{}
	for _, day := range d.Days {
		for _, z := range day.Zones {
			if !seen[z] {
				seen[z], zones = true, append(zones, z)
			}
		}
	}
	if len(zones) == 0 {
		return ""
	}
	return " Days are in the zone of each clip: UTC" + strings.Join(zones, ", UTC") + "."
}

// WriteDays writes the days as a table for people.
func WriteDays(w io.Writer, d *report.Days, layout Layout) error {
	rows := DayRows(d)
	for i := len(rows) - 1; i > 0; i-- {
		if rows[i][0] == rows[i-1][0] {
			rows[i][0] = "" // said above
		}
	}
	words := ""
	if len(rows) > 0 {
		var t Table
		for i, head := range DayHeads {
			t = append(t, Column{Head: head, Left: i < 2})
		}
		words = t.Text(rows) + "\n"
	}
	_, err := io.WriteString(w, words+Wrap(DaysSummary(d), "", layout.Width))
	return err
}
