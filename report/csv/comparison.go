package csv

import (
	"io"
	"strconv"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

var comparisonHeads = []string{
	"take", "path", "against", "figure", "unit", "scene_stops", "value", "value_low", "value_high",
	"difference", "difference_low", "difference_high", "told",
}

// WriteComparison writes one row a figure of a take: the take's letter and path, the path it is
// set against, the figure with its unit and scene tone, its value and the difference, each with
// its 95 % interval, and yes or no for whether the difference can be told from none. What was not
// measured is an empty cell.
func WriteComparison(w io.Writer, c *report.Comparison) error {
	rows := [][]string{comparisonHeads}
	for i, t := range c.Takes {
		against := ""
		if i > 0 {
			against = words(c.Takes[0].Path)
		}
		for _, f := range t.Figures {
			row := []string{advise.Letter(i), words(t.Path), against, f.Name, f.Unit, tone(f.SceneStops)}
			row = append(row, estimate(f.Unit, f.Value)...)
			rows = append(rows, append(row, difference(f.Unit, f.Difference)...))
		}
	}
	return write(w, rows)
}

func tone(scene *curve.Stops) string {
	if scene == nil {
		return ""
	}
	return strconv.FormatFloat(float64(*scene), 'f', -1, 64)
}

func estimate(unit string, e *advise.Estimate) []string {
	if e == nil {
		return []string{"", "", ""}
	}
	return []string{inUnit(unit, e.Value), inUnit(unit, e.Low), inUnit(unit, e.High)}
}

// inUnit writes a number with the decimals of the quantity it is.
func inUnit(unit string, v curve.Amount) string {
	switch unit {
	case "share":
		return number(curve.Share(v))
	case "dB":
		return number(curve.Decibels(v))
	}
	return number(curve.Stops(v))
}

func difference(unit string, d *advise.Difference) []string {
	if d == nil {
		return []string{"", "", "", ""}
	}
	return append(estimate(unit, &d.Estimate), text.YesNo(d.Told))
}
