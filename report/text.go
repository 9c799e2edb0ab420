package report

import (
	"fmt"
	"io"
	"math"
	"strings"
)

// Text writes an audit for people: a line of figures a clip, under it the verdict.
type Text struct {
	w      io.Writer
	layout Layout
	kept   []bool
	first  int    // columns of the path
	shared string // folders left out of every path: all clips lie below them, and there is no room
	headed bool
}

// textColumns are the figures of a clip's line, after its path.
var textColumns = []struct {
	column
	value func(Clip) string
}{
	{column{"grey", 12, true, 0}, cellGrey},
	{column{"by", 7, false, 3}, cellMethod},
	{column{"floor", 11, true, 5}, cellFloor},
	{column{"at -4", 6, true, 2}, cellShadows},
	{column{"headroom", 10, true, 4}, cellHeadroom},
	{column{"clipped", 7, true, 1}, cellClipped},
	{column{"do", 16, false, 0}, cellAdvice},
}

// NewText returns a Text for the clips of paths, whose longest decides the width of the first
// column. Where it has no room, the folders that all share are left out.
func NewText(w io.Writer, layout Layout, paths []string) *Text {
	t := &Text{w: w, layout: layout}
	if !t.fit(paths) {
		t.shared = sharedFolders(paths)
		t.fit(paths)
	}
	return t
}

// fit sets the widths of the columns and reports whether every path has room. Columns are left
// out for the sake of a file's name as cameras give them, not for longer ones.
func (t *Text) fit(paths []string) bool {
	const leastName, mostName = 18, 24
	longest, name := cells("clip"), leastName
	for _, p := range paths {
		longest = max(longest, cells(Printable(strings.TrimPrefix(p, t.shared))))
		name = max(name, cells(Printable(clipName(p))))
	}
	least := markWidth + min(name, mostName)
	t.kept, t.first = fit(plainColumns(), least, longest+markWidth, t.layout.Width)
	t.first = max(1, t.first-markWidth)
	return t.first >= longest
}

func plainColumns() []column {
	columns := make([]column, len(textColumns))
	for i, c := range textColumns {
		columns[i] = c.column
	}
	return columns
}

// markWidth is the sign before a clip and a space: "!" for a finding at level alarm, "*" for
// caution.
const markWidth = 2

var marks = map[string]struct{ sign, style string }{
	"alarm":   {"!", styleAlarm},
	"caution": {"*", styleCaution},
}

// Clip writes the lines of one clip; the first also writes the heads of the columns.
func (t *Text) Clip(c Clip) error {
	values := make([]string, len(textColumns))
	for i, col := range textColumns {
		values[i] = col.value(c)
	}
	mark := marks[worstLevel(c)]
	sign := t.layout.paint(mark.style, pad(mark.sign, 1, false))
	path := pad(shortenPath(strings.TrimPrefix(c.Path, t.shared), t.first), t.first, false)

	var b strings.Builder
	if !t.headed {
		b.WriteString(t.heads())
		t.headed = true
	}
	b.WriteString(row(sign+" "+path, plainColumns(), t.kept, values) + "\n")
	b.WriteString(Wrap(Printable(Verdict(c)), "    ", t.layout.Width))
	for _, f := range c.Advice.Findings {
		if mark, ok := marks[f.Level]; ok && (f.Level == "alarm" || !saidInVerdict[f.ID]) {
			b.WriteString(Wrap(mark.sign+" "+Printable(f.Text), "    ", t.layout.Width))
		}
	}
	_, err := io.WriteString(t.w, b.String())
	return err
}

// saidInVerdict are findings that the verdict has in its own words; as cautions they are not said
// twice.
var saidInVerdict = map[string]bool{"grey-over": true, "grey-under": true, "grey-weak": true, "field-clipped": true,
	"points-clipped": true, "grey-ceiling": true, "noise-suppressed": true}

func (t *Text) heads() string {
	values := make([]string, len(textColumns))
	for i, col := range textColumns {
		values[i] = col.head
	}
	clip := "clip"
	if in := "clip in " + Printable(t.shared); t.shared != "" && cells(in) <= t.first {
		clip = in
	}
	line := row(strings.Repeat(" ", markWidth)+pad(clip, t.first, false), plainColumns(), t.kept, values)
	return t.layout.paint(styleHead, line) + "\n"
}

// Summary writes the last line of an audit, and, where their signs have scrolled away, the clips
// that need a person.
func (t *Text) Summary(doc Document) error {
	var b strings.Builder
	b.WriteString(Wrap(Summary(doc), "", t.layout.Width))
	const screenful, mostNamed = 8, 20 // clips
	if urgent := urgentPaths(doc); len(doc.Clips) > screenful {
		for _, path := range urgent[:min(len(urgent), mostNamed)] {
			b.WriteString(t.layout.paint(styleAlarm, "!") + " " + shortenPath(path, t.pathRoom()) + "\n")
		}
		if more := len(urgent) - mostNamed; more > 0 {
			fmt.Fprintf(&b, "  and %d more\n", more)
		}
	}
	_, err := io.WriteString(t.w, b.String())
	return err
}

// pathRoom is how wide a path may be on a line of its own.
func (t *Text) pathRoom() int {
	if t.layout.Width == 0 {
		return math.MaxInt
	}
	return max(1, t.layout.Width-markWidth)
}

func urgentPaths(doc Document) (paths []string) {
	for _, c := range doc.Clips {
		if NeedsPerson(c) {
			paths = append(paths, c.Path)
		}
	}
	return paths
}

// Summary counts: "12 clips measured, 2 need a person (!), 1 could not be measured."
func Summary(doc Document) string {
	persons := len(urgentPaths(doc))
	s := plural(len(doc.Clips), "clip") + " measured"
	switch persons {
	case 0:
		s += ", none needs a person"
	case 1:
		s += ", 1 needs a person (!)"
	default:
		s += fmt.Sprintf(", %d need a person (!)", persons)
	}
	if len(doc.Clips) == 0 {
		s = "No clip measured"
	}
	if n := len(doc.Failed); n > 0 {
		s += fmt.Sprintf(", %d could not be measured", n)
	}
	return s + "."
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// WriteText writes a whole document as text, the failures at its end.
func WriteText(w io.Writer, doc Document, layout Layout) error {
	t := NewText(w, layout, clipPaths(doc.Clips))
	for _, c := range doc.Clips {
		if err := t.Clip(c); err != nil {
			return err
		}
	}
	for _, f := range doc.Failed {
		line := "not measured: " + Printable(f.Path) + ": " + Printable(f.Error)
		if _, err := io.WriteString(w, Wrap(line, "", layout.Width)); err != nil {
			return err
		}
	}
	return t.Summary(doc)
}
