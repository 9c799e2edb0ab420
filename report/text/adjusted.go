package text

import (
	"fmt"
	"io"

	"stopledger/decode/metadata"
	"stopledger/report"
)

// WriteAdjusted writes what was written of corrections as a table for people: a line a file.
func WriteAdjusted(w io.Writer, a *report.Adjusted, layout Layout) error {
	var rows [][]string
	clips := map[string]bool{}
	for _, f := range a.Files {
		name := metadata.Printable(report.ClipName(f.Path))
		if clips[f.Path] {
			name = "" // said above
		}
		clips[f.Path] = true
		rows = append(rows, []string{name, Signed(f.Stops, 3, ""), f.As, string(f.Domain), f.Worst.Plain(3),
			metadata.Printable(f.File)})
	}
	for _, l := range a.Lists {
		rows = append(rows, []string{Plural(l.Clips, "clip"), "", l.As, string(l.Domain), "", metadata.Printable(l.File)})
	}
	words := ""
	if len(rows) > 0 {
		t := Table{{Head: "clip", Left: true}, {Head: "stops"}, {Head: "as", Left: true}, {Head: "domain", Left: true},
			{Head: "off by"}, {Head: "file", Left: true}}
		words = t.Text(rows) + "\n"
	}
	_, err := io.WriteString(w, words+Wrap(AdjustedSummary(a), "", layout.Width))
	return err
}

// AdjustedSummary says how many files of how many clips were written, and how many refused.
func AdjustedSummary(a *report.Adjusted) string {
	clips := map[string]bool{}
	for _, f := range a.Files {
		clips[f.Path] = true
	}
	s := Plural(len(a.Files), "file") + " of " + Plural(len(clips), "clip")
	if n := len(a.Lists); n > 0 {
		s += ", " + Plural(n, "list")
	}
	if n := len(a.Refused); n > 0 {
		s += fmt.Sprintf("; %d refused", n)
	}
	return s + ". Off by: the largest error from 2 stops under to 4 over the subject's grey."
}

// Refused tells a refusal in a line.
func Refused(r report.Refusal) string {
	as := ""
	if r.As != "" {
		as = ", " + r.As + " " + string(r.Domain)
	}
	return metadata.Printable("refused: " + r.Path + as + ": " + r.Reason)
}
