//go:build linux

package main

import (
	"fmt"
	"io"
	"strings"
)

// A tally counts what came of one part.
type tally struct {
	part     string
	out      io.Writer
	tried    int      // clips, runs or sizes, as the part says
	measured int      // clips
	named    int      // clips and files that were not measured, each with its reason
	more     []string // what else is worth knowing

	lost, crashed, hung, differ, wrong int // faults
}

// fault counts a fault of a kind and tells it.
func (t *tally) fault(kind *int, format string, args ...any) {
	*kind++
	fmt.Fprintf(t.out, "  %s: %s\n", t.part, fmt.Sprintf(format, args...))
}

func (t *tally) note(format string, args ...any) {
	t.more = append(t.more, fmt.Sprintf(format, args...))
}

func (t *tally) faults() int { return t.lost + t.crashed + t.hung + t.differ + t.wrong }

// String is the line of the part.
func (t *tally) String() string {
	line := fmt.Sprintf("%-8s %d tried", t.part, t.tried)
	if t.measured+t.named > 0 {
		line += fmt.Sprintf(": %d measured, %d named with a reason", t.measured, t.named)
	}
	line += fmt.Sprintf("; lost %d, crashed %d, hung %d, differing %d, otherwise wrong %d", t.lost, t.crashed, t.hung,
		t.differ, t.wrong)
	return strings.Join(append([]string{line}, t.more...), "; ")
}
