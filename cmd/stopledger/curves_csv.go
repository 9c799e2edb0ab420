package main

import (
	"encoding/csv"
	"io"
	"strconv"

	"stopledger/curve"
)

// curvesCSV writes the list as CSV.
func curvesCSV(w io.Writer, d curvesDocument) error {
	rows := [][]string{{"name", "exposure_index", "convention", "convention_evidence", "recorded_by_cameras", "range",
		"black_code", "black_percent", "mid_grey_code", "mid_grey_percent", "over_stops", "over_code", "over_percent",
		"ceiling_code", "ceiling_percent", "ceiling_recorded_stops", "source"}}
	overStops := curve.Unknown[curve.Stops]()
	if d.OverStops != nil {
		overStops = *d.OverStops
	}
	for _, c := range d.Curves {
		over := curve.Level{Code: curve.Unknown[curve.Code](), Percent: curve.Unknown[curve.Percent]()}
		if c.Over != nil {
			over = *c.Over
		}
		index := ""
		if c.Index != 0 {
			index = strconv.Itoa(c.Index)
		}
		rows = append(rows, []string{c.Name, index, c.Convention, c.Evidence, strconv.FormatBool(c.Recorded), string(c.Range),
			csvNumber(c.Black.Code), csvNumber(c.Black.Percent), csvNumber(c.MidGrey.Code), csvNumber(c.MidGrey.Percent),
			csvNumber(overStops), csvNumber(over.Code), csvNumber(over.Percent),
			csvNumber(c.Ceiling.Code), csvNumber(c.Ceiling.Percent), csvNumber(c.CeilingStops), c.Source})
	}
	return csv.NewWriter(w).WriteAll(rows)
}

// csvNumber is a number without a unit, or an empty cell.
func csvNumber[T ~float64](v T) string {
	if !curve.Finite(v) {
		return ""
	}
	return strconv.FormatFloat(float64(v), 'f', -1, 64)
}

// ladderCSV writes one curve as CSV.
func ladderCSV(w io.Writer, l ladder) error {
	rows := [][]string{{"curve", "mark", "recorded_stops", "linear", "code", "percent", "code_8_bit", "stops_per_percent"}}
	for _, s := range l.Ladder {
		rows = append(rows, []string{l.Curve.Name, s.Mark, csvNumber(s.Stops), csvNumber(s.Linear),
			csvNumber(s.Code), csvNumber(s.Percent), csvNumber(s.Code8), csvNumber(s.StopsAPercent)})
	}
	return csv.NewWriter(w).WriteAll(rows)
}
