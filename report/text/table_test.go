package text

import (
	"strings"
	"testing"
)

func ladder() (Table, [][]string) {
	return Table{{Head: "curve", Left: true}, {Head: "grey"}, {Head: "note", Left: true}},
		[][]string{{"S-Log3", "420", "a"}, {"日本", "1", ""}, {"V-Log", "433", "longer than its head"}}
}

// Columns are as wide as their widest cell, counted in columns of the terminal; numbers stand to
// the right, words to the left, and no line ends in spaces.
func TestTableText(t *testing.T) {
	table, rows := ladder()
	want := "curve   grey  note\n" +
		"S-Log3   420  a\n" +
		"日本       1\n" +
		"V-Log    433  longer than its head\n"
	if got := table.Text(rows); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	if got := (Table{{Head: "a"}, {Head: "b"}}).Text(nil); got != "a  b\n" {
		t.Errorf("without rows: %q", got)
	}
}

// Rows that are printed one by one stand under each other, whatever comes later.
func TestRowsStandUnderEachOther(t *testing.T) {
	table, rows := ladder()
	table.Widen(rows[:1])
	heads := table.Heads()
	for _, row := range [][]string{{"x", "7", ""}, {"y", "", "z"}, {"V-Log3", "1234", ""}} {
		line := table.Row(row...)
		if i := strings.Index(heads, "grey") + len("grey"); row[1] != "" && (len(line) < i || !strings.HasSuffix(line[:i],
			row[1])) {
			t.Errorf("%q does not end with its head:\n%s\n%s", row[1], heads, line)
		}
	}
}

// Where there is no room the column with the highest number goes first, then the next; those with
// none stay, and the first column gives way last.
func TestTableFit(t *testing.T) {
	for _, test := range []struct {
		width, enough int
		want          string
	}{
		{40, 8, "clip............  a...  b...  c...  d..."},
		{39, 16, "clip............  a...  b...  d..."},
		{39, 8, "clip...........  a...  b...  c...  d..."},
		{33, 8, "clip.....  a...  b...  c...  d..."},
		{31, 8, "clip.........  a...  b...  d..."},
		{25, 8, "clip.........  a...  d..."},
		{14, 8, "clip....  a..."},
		{9, 8, "clip.a..."}, // nothing that may go is left: at least one column is the first one's
		{1, 8, ""},
	} {
		table := Table{{Head: "clip", Width: 16, Left: true}, {Head: "a...", Width: 4}, {Head: "b...", Width: 4, Drop: 1},
			{Head: "c...", Width: 4, Drop: 3}, {Head: "d...", Width: 4, Drop: 2}}
		switch test.width {
		case 25: // b goes before d where its number is higher
			table[2].Drop, table[4].Drop = 2, 1
		}
		table.Fit(test.width, test.enough)
		if test.width < 14 {
			if table[0].Width < 1 {
				t.Errorf("in %d columns the first has %d", test.width, table[0].Width)
			}
			continue
		}
		got := table.Row("clip"+strings.Repeat(".", table[0].Width-4), "a...", "b...", "c...", "d...")
		if got != test.want {
			t.Errorf("in %d columns, %d enough:\n got %s\nwant %s", test.width, test.enough, got, test.want)
		}
		if cells(got) > test.width {
			t.Errorf("in %d columns the row takes %d", test.width, cells(got))
		}
	}
}
