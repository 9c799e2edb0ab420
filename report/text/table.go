package text

import "strings"

// A Table lays cells out in columns under their heads. Widths are fixed before the first row is
// printed, so that rows can be printed one by one as clips are done and still stand under each
// other. Cells must be Printable.
type Table []Column

// A Column of a Table.
type Column struct {
	Head  string // its name, "" for none
	Width int    // columns of the terminal
	Left  bool   // words stand on the left, numbers on the right
	Drop  int    // the higher, the sooner the column is left out where there is no room; 0 never

	dropped bool
}

const gapWidth = 2

// Widen makes every column wide enough for its head and for the cells of rows.
func (t Table) Widen(rows [][]string) {
	for i := range t {
		t[i].Width = max(t[i].Width, cells(t[i].Head))
		for _, row := range rows {
			t[i].Width = max(t[i].Width, cells(row[i]))
		}
	}
}

// wants is the width of the whole table.
func (t Table) wants() int {
	width := -gapWidth
	for _, c := range t {
		width += gapWidth + c.Width
	}
	return width
}

// Fit brings the table into width columns of the terminal: columns are left out until the first
// one has what it wants or at least enough, and the first gets what there is.
func (t Table) Fit(width, enough int) {
	want := t[0].Width
	for {
		rest, worst := 0, -1
		for i, c := range t[1:] {
			if c.dropped {
				continue
			}
			rest += gapWidth + c.Width
			if c.Drop > 0 && (worst < 0 || c.Drop > t[1+worst].Drop) {
				worst = i
			}
		}
		if left := width - rest; left >= min(want, enough) || worst < 0 {
			t[0].Width = max(1, min(want, left))
			return
		}
		t[1+worst].dropped = true
	}
}

// Heads returns the line of the columns' heads.
func (t Table) Heads() string {
	heads := make([]string, len(t))
	for i, c := range t {
		heads[i] = c.Head
	}
	return t.Row(heads...)
}

// Row returns the line of a row, one cell for each column, without spaces or a line break at its
// end.
func (t Table) Row(row ...string) string {
	var b strings.Builder
	for i, c := range t {
		if c.dropped {
			continue
		}
		if i > 0 {
			b.WriteString(strings.Repeat(" ", gapWidth))
		}
		b.WriteString(pad(row[i], c.Width, !c.Left))
	}
	return strings.TrimRight(b.String(), " ")
}

// Text returns heads and rows, a line each, in columns as wide as they need.
func (t Table) Text(rows [][]string) string {
	t.Widen(rows)
	lines := []string{t.Heads()}
	for _, row := range rows {
		lines = append(lines, t.Row(row...))
	}
	return strings.Join(lines, "\n") + "\n"
}
