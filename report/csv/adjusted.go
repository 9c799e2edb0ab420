package csv

import (
	"io"
	"strconv"

	"stopledger/report"
)

var adjustedHeads = []string{"status", "path", "file", "as", "domain", "stops", "curve", "worst_error_stops", "offset",
	"clips", "reason"}

// WriteAdjusted writes a row for each file of a clip, then for each list and each refusal; status says which
// of them it is.
func WriteAdjusted(w io.Writer, a *report.Adjusted) error {
	rows := [][]string{adjustedHeads}
	for _, f := range a.Files {
		rows = append(rows, []string{"file", words(f.Path), words(f.File), f.As, string(f.Domain), number(f.Stops),
			words(f.Curve), number(f.Worst), number(f.Offset), "1", ""})
	}
	for _, l := range a.Lists {
		rows = append(rows, []string{"list", "", words(l.File), l.As, string(l.Domain), "", "", "", "",
			strconv.Itoa(l.Clips), ""})
	}
	for _, r := range a.Refused {
		rows = append(rows, []string{"refused", words(r.Path), "", r.As, string(r.Domain), "", "", "", "", "1",
			words(r.Reason)})
	}
	return write(w, rows)
}
