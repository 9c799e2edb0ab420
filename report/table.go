package report

import "strings"

// A column of a text table. Widths are fixed before the first row, so that rows can be printed
// one by one as clips are done and still stand under each other.
type column struct {
	head  string
	width int
	right bool
	drop  int // columns with a higher number are left out first where the terminal is narrow; 0 never
}

const gapWidth = 2

// fit returns which columns are kept on a terminal of width columns when the first one wants
// want columns, and what the first one gets. Columns are left out for it until it has enough.
func fit(columns []column, enough, want, width int) (kept []bool, first int) {
	kept = make([]bool, len(columns))
	for i := range kept {
		kept[i] = true
	}
	if width <= 0 {
		return kept, want
	}
	for {
		rest, worst := 0, -1
		for i, c := range columns {
			if !kept[i] {
				continue
			}
			rest += gapWidth + c.width
			if c.drop > 0 && (worst < 0 || c.drop > columns[worst].drop) {
				worst = i
			}
		}
		if left := width - rest; left >= min(want, enough) || worst < 0 {
			return kept, max(1, min(want, left))
		}
		kept[worst] = false
	}
}

// row joins cells to a line without spaces at its end.
func row(first string, columns []column, kept []bool, values []string) string {
	var b strings.Builder
	b.WriteString(first)
	for i, c := range columns {
		if kept[i] {
			b.WriteString(strings.Repeat(" ", gapWidth) + pad(values[i], c.width, c.right))
		}
	}
	return strings.TrimRight(b.String(), " ")
}
