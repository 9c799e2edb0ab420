// Package terminal is where results and talk go: widths, colours, and how much of a run is through.
package terminal

import (
	"fmt"
	"io"
	"os"
	"strconv"

	"github.com/vbauerster/cupwriter"

	"stopledger/report/text"
)

// A Console is where results and talk go. While clips are measured a line on stderr tells how far
// they are, if that is a terminal; what is printed meanwhile stands above it, and at the end it leaves no trace.
type Console struct {
	Layout         text.Layout // of stdout
	stdout, stderr io.Writer
	bar            *bar // nil without progress
	shared         bool // stdout is the terminal the bar moves on
}

// New looks at what the two streams are. The bar counts clips clips; quiet leaves it out.
func New(stdout, stderr io.Writer, clips int, quiet bool) *Console {
	c := &Console{stdout: stdout, stderr: stderr}
	_, terminal := terminalWidth(stdout)
	width := Width(stdout)
	c.Layout = text.Layout{Width: width, Color: terminal && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"}
	if _, talks := terminalWidth(stderr); talks && !quiet && clips > 0 && os.Getenv("TERM") != "dumb" {
		c.bar = newBar(stderr, clips)
		c.shared = terminal && sameFile(stdout, stderr)
	}
	return c
}

// Width returns the columns of the terminal that w is, elsewhere those that COLUMNS names; 0 where nothing tells.
func Width(w io.Writer) int {
	if width, terminal := terminalWidth(w); terminal {
		return width
	}
	return columnsAsked()
}

// terminalWidth returns the columns of the terminal that w is; 0 and false where it is none.
func terminalWidth(w io.Writer) (columns int, terminal bool) {
	f, ok := w.(*os.File)
	if !ok {
		return 0, false
	}
	t := cupwriter.New(f, false)
	if !t.IsTerminal() {
		return 0, false
	}
	columns, _, err := t.GetTermSize()
	if err != nil || columns <= 0 {
		columns = 80
	}
	return columns, true
}

// columnsAsked is the width that COLUMNS names, for output that goes to a file or another program; 0 for
// none.
func columnsAsked() int {
	n, err := strconv.Atoi(os.Getenv("COLUMNS"))
	if err != nil || n < 0 {
		return 0
	}
	return n
}

func sameFile(a, b io.Writer) bool {
	f, ok1 := a.(*os.File)
	g, ok2 := b.(*os.File)
	if !ok1 || !ok2 {
		return false
	}
	x, err1 := f.Stat()
	y, err2 := g.Stat()
	return err1 == nil && err2 == nil && os.SameFile(x, y)
}

// Write prints to stdout.
func (c *Console) Write(b []byte) (int, error) {
	if c.bar != nil && c.shared {
		return c.bar.above(b)
	}
	return c.stdout.Write(b)
}

// Note prints a line to stderr.
func (c *Console) Note(line string) {
	if c.bar != nil {
		c.bar.above([]byte(line + "\n"))
		return
	}
	fmt.Fprintln(c.stderr, line)
}

// Called sets the names of the clips, as they are printed, of which progress shows the one in hand.
func (c *Console) Called(names []string) {
	if c.bar != nil {
		c.bar.call(names)
	}
}

// Progress takes how much of clip i is through, 0..1.
func (c *Console) Progress(i int, share float64) {
	if c.bar != nil {
		c.bar.set(i, share)
	}
}

// Close takes the bar away.
func (c *Console) Close() {
	if c.bar != nil {
		c.bar.remove()
		c.bar = nil
	}
}
