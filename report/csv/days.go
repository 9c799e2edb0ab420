package csv

import (
	"io"
	"strconv"
	"strings"

	"stopledger/report"
)

var dayHeads = []string{
	"day", "zones", "clips_by_file_time", "camera", "iso", "curves", "clips", "no_grey",
	"placement_stops", "placement_least_stops", "placement_most_stops", "floor_stops", "floor_least_stops",
	"floor_most_stops", "clipped", "clipped_least", "clipped_most",
}

// WriteDays writes one row for each day, camera and ISO; figures are medians, with the least and the
// most. The zones and the clips dated by their files are of the whole day.
func WriteDays(w io.Writer, d *report.Days) error {
	rows := [][]string{dayHeads}
	for _, day := range d.Days {
		for _, g := range day.Groups {
			iso := ""
			if g.ISO != 0 {
				iso = strconv.Itoa(g.ISO)
			}
			p, f, c := g.Placement, g.Floor, g.Clipped
			rows = append(rows, []string{day.Date, strings.Join(day.Zones, " "), strconv.Itoa(day.ByFileTime),
				words(g.Camera), iso, words(strings.Join(g.Curves, " ")), strconv.Itoa(g.Clips), strconv.Itoa(g.NoGrey),
				number(p.Median), number(p.Least), number(p.Most), number(f.Median), number(f.Least), number(f.Most),
				number(c.Median), number(c.Least), number(c.Most)})
		}
	}
	return write(w, rows)
}
