package main

import (
	"strings"
	"unicode/utf8"
)

// A textTable is aligned columns, numbers to the right and the columns in left to the left.
type textTable struct {
	head []string
	left map[int]bool
	rows [][]string
}

func (t textTable) String() string {
	width := make([]int, len(t.head))
	all := append([][]string{t.head}, t.rows...)
	for _, row := range all {
		for i, cell := range row {
			width[i] = max(width[i], utf8.RuneCountInString(cell))
		}
	}
	var b strings.Builder
	for _, row := range all {
		var line strings.Builder
		for i, cell := range row {
			if i > 0 {
				line.WriteString("  ")
			}
			space := strings.Repeat(" ", width[i]-utf8.RuneCountInString(cell))
			if t.left[i] {
				line.WriteString(cell + space)
			} else {
				line.WriteString(space + cell)
			}
		}
		b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
	return b.String()
}
