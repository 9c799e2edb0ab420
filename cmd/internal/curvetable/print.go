package curvetable

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report/text"
)

// width is the column at which sentences break.
const width = 98

// columns makes a table of numbers under heads; the columns in words hold words.
func columns(heads []string, words ...int) text.Table {
	var t text.Table
	for i, h := range heads {
		t = append(t, text.Column{Head: h, Left: slices.Contains(words, i)})
	}
	return t
}

// WriteList writes the list for people.
func WriteList(w io.Writer, d Document) error {
	head := []string{"curve", "range", "grey", "%", "ceiling", "%", "stops"}
	if d.OverStops != nil {
		head = append(head, d.OverStops.Signed(2), "%")
	}
	table := columns(append(head, "source"), 0, 1, len(head))
	var rows [][]string
	for _, c := range d.Curves {
		cells := []string{c.label(), string(c.Range), printed(c.MidGrey.Code, 0), printed(c.MidGrey.Percent, 1),
			printed(c.Ceiling.Code, 0), printed(c.Ceiling.Percent, 1), text.Signed(c.CeilingStops, 2, "")}
		if c.Over != nil {
			cells = append(cells, printed(c.Over.Code, 0), printed(c.Over.Percent, 1))
		}
		rows = append(rows, append(cells, metadata.Printable(c.title)))
	}
	foot := "\n" + text.Wrap("Codes are 10-bit. stops: from grey to the ceiling, the formula's end; "+
		"a camera usually clips lower. stopledger curves NAME prints one curve with its source and notes.", "", width)
	_, err := io.WriteString(w, table.Text(rows)+foot)
	return err
}

// WriteLadder writes one curve for people.
func WriteLadder(w io.Writer, l Ladder) error {
	c := l.Curve
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n", c.label(), metadata.Printable(c.Source))
	b.WriteString(text.Wrap(strings.TrimSpace(c.about()+" "+c.Note), "", width))
	b.WriteString("\n")
	table := columns([]string{"stops", "linear", "code", "percent", "8-bit", "stops per %", ""}, 6)
	var rows [][]string
	for _, s := range l.Ladder {
		rows = append(rows, []string{text.Signed(s.Stops, 2, ""), fmt.Sprintf("%.4g", float64(s.Linear)), printed(s.Code, 0),
			printed(s.Percent, 1), printed(s.Code8, 0), printed(s.StopsAPercent, 3), l.remark(s)})
	}
	b.WriteString(table.Text(rows))
	_, err := io.WriteString(w, b.String())
	return err
}

// label is the curve's name with its exposure index.
func (c Entry) label() string {
	if index := fmt.Sprintf(" EI%d", c.Index); c.Index != 0 && !strings.HasSuffix(c.Name, index) {
		return metadata.Printable(c.Name) + index
	}
	return metadata.Printable(c.Name)
}

// about says in a sentence or two what the curve's codes are.
func (c Entry) about() string {
	kind := "Video levels (" + c.Evidence + ")"
	switch {
	case !c.Recorded && c.Evidence == curve.Open.String():
		kind = "A working curve"
	case c.Convention == "data":
		kind = "Data codes (" + c.Evidence + ")"
	}
	kind += ", shown in " + string(c.Range) + " range."
	if !c.Recorded {
		kind += " No camera records it."
	}
	return kind
}

// printed prints a number that is rounded already, to fewer decimals.
func printed[T ~float64](v T, decimals int) string {
	if !curve.Finite(v) {
		return curve.Absent
	}
	return strconv.FormatFloat(float64(v), 'f', decimals, 64)
}

// remark says what a step is.
func (l Ladder) remark(s Step) string {
	if l.OverStops == nil || !same(s.Stops, *l.OverStops) {
		return s.Mark
	}
	if !curve.Finite(s.Percent) {
		return "grey so far over clips"
	}
	return "grey exposed so: zebra " + s.Percent.String()
}

// WriteListCSV writes the list as CSV.
func WriteListCSV(w io.Writer, d Document) error {
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

// WriteLadderCSV writes one curve as CSV.
func WriteLadderCSV(w io.Writer, l Ladder) error {
	rows := [][]string{{"curve", "mark", "recorded_stops", "linear", "code", "percent", "code_8_bit", "stops_per_percent"}}
	for _, s := range l.Ladder {
		rows = append(rows, []string{l.Curve.Name, s.Mark, csvNumber(s.Stops), csvNumber(s.Linear),
			csvNumber(s.Code), csvNumber(s.Percent), csvNumber(s.Code8), csvNumber(s.StopsAPercent)})
	}
	return csv.NewWriter(w).WriteAll(rows)
}
