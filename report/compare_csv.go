package report

import (
	"encoding/csv"
	"io"
	"strconv"
)

var comparisonHeads = []string{
	"take", "path", "against", "figure", "unit", "scene_stops", "value", "value_low", "value_high",
	"difference", "difference_low", "difference_high", "told",
}

// WriteComparisonCSV writes one row a figure of a take (RFC 4180): the take's letter and path,
// the path it is set against, the figure with its unit and scene tone, its value and the
// difference, each with its 95 % interval, and yes or no for whether the difference can be told
// from none. What was not measured is an empty cell.
func WriteComparisonCSV(w io.Writer, c Comparison) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true // RFC 4180, section 2.1
	if err := out.Write(comparisonHeads); err != nil {
		return err
	}
	for i, t := range c.Takes {
		against := ""
		if i > 0 {
			against = cellText(c.Takes[0].Path)
		}
		for _, f := range t.Figures {
			cells := []string{letter(i), cellText(t.Path), against, f.Name, f.Unit, toneCell(f.SceneStops)}
			cells = append(cells, estimateCells(f.Unit, f.Value)...)
			cells = append(cells, differenceCells(f.Unit, f.Difference)...)
			if err := out.Write(cells); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

func toneCell(tone *float64) string {
	if tone == nil {
		return ""
	}
	return strconv.FormatFloat(*tone, 'f', -1, 64)
}

func estimateCells(unit string, e *Estimate) []string {
	if e == nil {
		return []string{"", "", ""}
	}
	return []string{cellNumber(unit, &e.Value), cellNumber(unit, e.Low), cellNumber(unit, e.High)}
}

func differenceCells(unit string, d *Difference) []string {
	if d == nil {
		return []string{"", "", "", ""}
	}
	return append(estimateCells(unit, &d.Estimate), yesNo(d.Told))
}

// WriteComparisonJSON writes a comparison as WriteJSON writes an audit.
func WriteComparisonJSON(w io.Writer, c Comparison) error { return writeJSON(w, c) }
