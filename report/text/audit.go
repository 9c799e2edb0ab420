package text

import (
	"io"
	"math"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// An Audit writes an audit for people, clip by clip: a line of figures, under it the verdict. The line
// begins with the clip's path; a name that is wider than the column has a line of its own before it.
type Audit struct {
	w      io.Writer
	layout Layout
	table  Table
	tight  bool   // stops are not named in every figure
	shared string // folders left out of every path: all clips lie below them, and there is no room
	headed bool
}

// figures of a clip's line, after its path: as a wide terminal has room for them, and tight, where stops are
// not named again in each.
var figures = []struct {
	wide, tight Column
	value       func(*report.Clip) string
}{
	{Column{Head: "grey", Width: 12}, Column{Head: "grey", Width: 6},
		func(c *report.Clip) string { return advise.Grey(c.Placement) }},
	{Column{Head: "grey from", Width: 9, Left: true}, Column{Head: "from", Width: 7, Left: true, Drop: 5}, Method},
	{Column{Head: "floor", Width: 11}, Column{Head: "floor", Width: 6, Drop: 3}, Floor},
	{Column{Head: "shadows -4 (SNR)", Width: 16}, Column{Head: "SNR -4", Width: 6, Drop: 2}, Shadows},
	{Column{Head: "headroom", Width: 10}, Column{Head: "headroom", Width: 8, Drop: 4}, Headroom},
	{Column{Head: "clipped", Width: 7}, Column{Head: "clipped", Width: 7, Drop: 1}, Clipped},
	{Column{Head: "action", Width: 16, Left: true}, Column{Head: "action", Width: 9, Left: true},
		func(c *report.Clip) string { return c.Advice.Do(c.Placement) }},
}

// marks are the signs after a clip's path, in a column of their own.
var marks = map[advise.Level]struct{ sign, style string }{
	advise.Alarm:   {"!", styleAlarm},
	advise.Caution: {"*", styleCaution},
}

// NewAudit returns an Audit for the clips of paths, whose longest decides the width of the first
// column. Where it has no room, the folders that all share are left out.
func NewAudit(w io.Writer, layout Layout, paths []string) *Audit {
	a := &Audit{w: w, layout: layout}
	if !a.fit(paths) {
		a.shared = report.SharedFolders(paths)
		a.fit(paths)
	}
	return a
}

// fit sets the widths of the columns and reports whether every path has room. Columns are left
// out for the sake of a file's name as cameras give them, not for longer ones.
func (a *Audit) fit(paths []string) bool {
	const leastName, mostName = 18, 23
	longest, name := cells("clip"), leastName
	for _, p := range paths {
		longest = max(longest, cells(metadata.Printable(strings.TrimPrefix(p, a.shared))))
		name = max(name, cells(metadata.Printable(report.ClipName(p))))
	}
	enough := min(name, mostName)
	a.tight = false
	a.lay(longest)
	if width := a.layout.Width; width > 0 {
		if a.table.wants()-longest+min(longest, enough) > width {
			a.tight = true
			a.lay(longest)
		}
		a.table.Fit(width, enough)
	}
	return a.table[0].Width >= longest
}

// lay makes the table, wide or tight, with a first column that holds the longest path.
func (a *Audit) lay(longest int) {
	a.table = Table{{Head: "clip", Width: longest, Left: true}, {Width: 1}}
	for _, f := range figures {
		column := f.wide
		if a.tight {
			column = f.tight
		}
		a.table = append(a.table, column)
	}
}

// Clip writes the lines of one clip; the first also writes the heads of the columns.
func (a *Audit) Clip(c *report.Clip) error {
	var b strings.Builder
	if !a.headed {
		b.WriteString(a.heads())
		a.headed = true
	}
	b.WriteString(a.line(c))
	b.WriteString(Wrap(metadata.Printable(c.Advice.Summary), "    ", a.layout.Width))
	for _, f := range c.Advice.Findings {
		said := strings.Contains(c.Advice.Summary, f.Text) || f.Level != advise.Alarm && saidInVerdict[f.ID]
		if mark, ok := marks[f.Level]; ok && !said {
			b.WriteString(Wrap(mark.sign+" "+metadata.Printable(f.Text), "    ", a.layout.Width))
		}
	}
	_, err := io.WriteString(a.w, b.String())
	return err
}

// line is a clip's line of figures.
func (a *Audit) line(c *report.Clip) string {
	path, room, above := strings.TrimPrefix(c.Path, a.shared), a.table[0].Width, ""
	if name := metadata.Printable(report.ClipName(path)); cells(name) > room {
		above, path = shortenPath(path, max(a.layout.Width, cells(name)))+"\n", ""
	}
	mark := marks[c.Advice.Worst()]
	row := []string{shortenPath(path, room), mark.sign}
	for _, f := range figures {
		figure := f.value(c)
		if a.tight {
			figure = strings.TrimSuffix(figure, " stops")
		}
		row = append(row, figure)
	}
	line := a.table.Row(row...)
	if mark.sign != "" {
		at := len(pad(row[0], room, false)) + gapWidth
		line = line[:at] + a.layout.paint(mark.style, mark.sign) + line[at+len(mark.sign):]
	}
	return above + line + "\n"
}

// saidInVerdict are findings that the verdict has in its own words; as cautions they are not said
// twice. What it has word for word is never said twice.
var saidInVerdict = map[advise.ID]bool{
	advise.GreyOver: true, advise.GreyUnder: true, advise.GreyWeak: true, advise.FieldClipped: true,
	advise.PointsClipped: true, advise.GreyCeiling: true, advise.NoiseSuppressed: true,
}

func (a *Audit) heads() string {
	if in := "clip in " + metadata.Printable(a.shared); a.shared != "" && cells(in) <= a.table[0].Width {
		a.table[0].Head = in
	}
	return a.layout.paint(styleHead, a.table.Heads()) + "\n"
}

// listed stands before the paths of a list.
const listed = "    "

// pathRoom is how wide a path of a list may be.
func (a *Audit) pathRoom() int {
	if a.layout.Width == 0 {
		return math.MaxInt
	}
	return max(1, a.layout.Width-len(listed))
}

// WriteAudit writes a whole document as text, the failures at its end.
func WriteAudit(w io.Writer, doc *report.Document, layout Layout) error {
	a := NewAudit(w, layout, doc.Paths())
	if err := doc.EachClip(func(_ int, c *report.Clip) error { return a.Clip(c) }); err != nil {
		return err
	}
	for _, g := range FailureGroups(doc.Failed) {
		if _, err := io.WriteString(w, Failure(g, layout)); err != nil {
			return err
		}
	}
	return a.Summary(doc)
}
