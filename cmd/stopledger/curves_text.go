package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"stopledger/curve"
	"stopledger/report"
)

// curvesWidth is the column at which sentences break.
const curvesWidth = 98

func (d curvesDocument) writeText(w io.Writer) error {
	head := []string{"curve", "range", "grey", "%", "ceiling", "%", "stops"}
	if d.OverStops != nil {
		head = append(head, report.SignedStops(*d.OverStops, 2), "%")
	}
	t := textTable{head: append(head, "source"), left: map[int]bool{0: true, 1: true, len(head): true}}
	for _, c := range d.Curves {
		cells := []string{c.label(), c.Range,
			printedNumber(c.MidGrey.Code, 0), printedNumber(c.MidGrey.Percent, 1),
			printedNumber(c.Ceiling.Code, 0), printedNumber(c.Ceiling.Percent, 1),
			signed(c.CeilingStops)}
		if c.Over != nil {
			cells = append(cells, printedNumber(c.Over.Code, 0), printedNumber(c.Over.Percent, 1))
		}
		t.rows = append(t.rows, append(cells, report.Printable(c.title)))
	}
	foot := "\n" + report.Wrap("Codes are 10-bit. stops: from grey to the ceiling, the formula's end; a camera usually clips lower. "+
		"stopledger curves NAME prints one curve with its source and notes.", "", curvesWidth)
	_, err := io.WriteString(w, t.String()+foot)
	return err
}

func (l ladder) writeText(w io.Writer) error {
	c := l.Curve
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n", c.label(), report.Printable(c.Source))
	b.WriteString(report.Wrap(strings.TrimSpace(c.about()+" "+c.Note), "", curvesWidth))
	b.WriteString("\n")
	t := textTable{head: []string{"stops", "linear", "code", "percent", "8-bit", "stops per %", ""}, left: map[int]bool{6: true}}
	for _, s := range l.Ladder {
		stops := signed(s.Stops)
		if s.Stops == nil {
			stops = "-"
		}
		t.rows = append(t.rows, []string{stops, printedLight(s.Linear), printedNumber(s.Code, 0),
			printedNumber(s.Percent, 1), printedNumber(s.Code8, 0), printedNumber(s.StopsAPercent, 3), l.remark(s)})
	}
	b.WriteString(t.String())
	_, err := io.WriteString(w, b.String())
	return err
}

// label is the curve's name with its exposure index.
func (c curveEntry) label() string {
	if index := fmt.Sprintf(" EI%d", c.Index); c.Index != 0 && !strings.HasSuffix(c.Name, index) {
		return report.Printable(c.Name) + index
	}
	return report.Printable(c.Name)
}

// about says in a sentence or two what the curve's codes are.
func (c curveEntry) about() string {
	kind := "Video levels (" + c.Evidence + ")"
	switch {
	case !c.Recorded && c.Evidence == curve.Open.String():
		kind = "A working curve"
	case c.Convention == "data":
		kind = "Data codes (" + c.Evidence + ")"
	}
	kind += ", shown in " + c.Range + " range."
	if !c.Recorded {
		kind += " No camera records it."
	}
	return kind
}

// remark says what a step is.
func (l ladder) remark(s ladderStep) string {
	if l.OverStops == nil || s.Stops == nil || math.Abs(*s.Stops-*l.OverStops) > sameStep {
		return s.Mark
	}
	if s.Percent == nil {
		return "grey so far over clips"
	}
	return "grey exposed so: zebra " + report.Percent(*s.Percent)
}

// signed formats stops in a column headed so.
func signed(v *float64) string {
	if v == nil {
		return "-"
	}
	return fmt.Sprintf("%+.2f", *v)
}

// printedLight formats light with the digits that count.
func printedLight(v *float64) string {
	if v == nil {
		return "-"
	}
	return fmt.Sprintf("%.4g", *v)
}
