package text

import (
	"io"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// WriteComparison writes takes side by side: a row a figure, a column a take, and beside the
// value of each take but the first its difference from the first. Untold stands for a difference
// that cannot be told from none.
func WriteComparison(w io.Writer, c *report.Comparison, layout Layout) error {
	var b strings.Builder
	b.WriteString(isoText(c, layout))
	for i, t := range c.Takes {
		b.WriteString(layout.paint(styleHead, advise.Letter(i)) + "  " + metadata.Printable(t.Path) + "\n")
		b.WriteString(Wrap(metadata.Printable(c.Clips[i].Advice.Summary), "   ", layout.Width))
	}
	for _, f := range FailureGroups(c.Failed) {
		b.WriteString(Failure(f, layout))
	}
	if len(c.Takes) > 0 {
		b.WriteString("\n" + comparisonTables(c, layout))
	}
	b.WriteString("\n" + Wrap(metadata.Printable(c.Recommendation.Reason), "", layout.Width))
	_, err := io.WriteString(w, b.String())
	return err
}

// Widths of the comparison's columns.
const (
	figureWidth     = 23
	valueWidth      = 12
	differenceWidth = 18
)

// comparisonTables lays takes out in columns; where the terminal is too narrow for all of them,
// in several tables below each other, the first take's column in each.
func comparisonTables(c *report.Comparison, layout Layout) string {
	each := len(c.Takes)
	if layout.Width > 0 {
		left := layout.Width - figureWidth - gapWidth - valueWidth
		each = max(1, left/(gapWidth+valueWidth+gapWidth+differenceWidth))
	}
	var tables []string
	for from := 1; from == 1 || from < len(c.Takes); from += each {
		tables = append(tables, someTakes(c, from, min(from+each, len(c.Takes)), layout))
	}
	return strings.Join(tables, "\n")
}

// someTakes is the table of takes from..to-1 beside the first.
func someTakes(c *report.Comparison, from, to int, layout Layout) string {
	table := Table{{Width: figureWidth, Left: true}, {Head: "A", Width: valueWidth}}
	for i := from; i < to; i++ {
		table = append(table, Column{Head: advise.Letter(i), Width: valueWidth},
			Column{Head: "from A", Width: differenceWidth})
	}
	text := layout.paint(styleHead, table.Heads()) + "\n"
	for k, f := range c.Takes[0].Figures {
		row := []string{FigureName(f), FigureValue(f)}
		for _, t := range c.Takes[from:to] {
			row = append(row, FigureValue(t.Figures[k]), FigureDifference(t.Figures[k]))
		}
		text += table.Row(row...) + "\n"
	}
	return text
}
