package text

import (
	"io"
	"strings"

	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// WriteMatches writes a line a clip: what to apply to it, and what says so.
func WriteMatches(w io.Writer, m *report.Matching, layout Layout) error {
	var b strings.Builder
	for _, x := range m.Matches {
		b.WriteString(Wrap(metadata.Printable(x.Path)+": "+MatchWords(x), "", layout.Width))
	}
	if m.Adjusted != nil {
		b.WriteString(Wrap(AdjustedSummary(m.Adjusted), "", layout.Width))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// MatchHeads are the heads of MatchRows.
var MatchHeads = []string{"clip", "stops", "from", "to", "by", "R", "G", "B"}

// MatchRows returns a row for each clip.
func MatchRows(m *report.Matching) (rows [][]string) {
	for _, x := range m.Matches {
		by, rgb := string(x.By), []string{curve.Absent, curve.Absent, curve.Absent}
		if by == "" {
			by = "not matched"
		}
		if x.RGB != nil {
			for i, s := range x.RGB {
				rgb[i] = stopsOf(s)
			}
		}
		rows = append(rows, append([]string{metadata.Printable(report.ClipName(x.Path)), stopsOf(x.Stops), stopsOf(x.Low),
			stopsOf(x.High), by}, rgb...))
	}
	return rows
}

// MatchWords says what to apply to a clip so that it matches another, or why that is not known.
func MatchWords(x report.Match) string {
	if x.By == "" {
		return "not matched: " + x.Reason
	}
	words := Signed(x.Stops, 2, " stops") + " (" + stopsOf(x.Low) + " to " + stopsOf(x.High) + "), by " + x.Reason
	if x.RGB != nil {
		words += "; R " + stopsOf(x.RGB[0]) + ", G " + stopsOf(x.RGB[1]) + ", B " + stopsOf(x.RGB[2])
	}
	return words
}
