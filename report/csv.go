package report

import (
	"encoding/csv"
	"io"
	"strings"
)

// WriteCSV writes one row a clip under one row of heads (RFC 4180), failed clips last.
func WriteCSV(w io.Writer, doc Document) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true // RFC 4180, section 2.1
	cells := make([]string, len(CSVColumns))
	for i, col := range CSVColumns {
		cells[i] = col.Head
	}
	if err := out.Write(cells); err != nil {
		return err
	}
	for _, c := range doc.Clips {
		for i, col := range CSVColumns {
			cells[i] = col.value(c)
		}
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	for _, f := range doc.Failed {
		clear(cells)
		cells[0], cells[1], cells[2] = cellText(f.Path), "failed", cellText(f.Error)
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// cellText neutralises a text that a spreadsheet would run as a formula: one that starts with
// = + - @, a tab or a carriage return gets an apostrophe before it (common practice, no source).
func cellText(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

// cellNumber rounds as the JSON field of that name does; null and not finite are empty.
func cellNumber(name string, v *float64) string {
	n, ok := known(v)
	if !ok {
		return ""
	}
	return string(plain(roundJSON(name, n)))
}
