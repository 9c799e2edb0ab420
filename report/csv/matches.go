package csv

import (
	"io"

	"stopledger/curve"
	"stopledger/report"
)

var matchHeads = []string{"path", "to", "stops", "low", "high", "by", "reason", "r_stops", "g_stops", "b_stops"}

// WriteMatches writes one row for each clip that is brought to another.
func WriteMatches(w io.Writer, m *report.Matching) error {
	rows := [][]string{matchHeads}
	for _, x := range m.Matches {
		none := curve.Unknown[curve.Stops]()
		rgb := [3]curve.Stops{none, none, none}
		if x.RGB != nil {
			rgb = *x.RGB
		}
		rows = append(rows, []string{words(x.Path), words(x.To), number(x.Stops), number(x.Low), number(x.High),
			string(x.By), words(x.Reason), number(rgb[0]), number(rgb[1]), number(rgb[2])})
	}
	return write(w, rows)
}
