package text

import (
	"strings"

	"github.com/mattn/go-runewidth"

	"stopledger/decode/metadata"
	"stopledger/report"
)

// cells returns how many columns of a terminal a text takes.
func cells(s string) int { return runewidth.StringWidth(s) }

// pad fills s with spaces to width columns, on the left where right is set.
func pad(s string, width int, right bool) string {
	space := strings.Repeat(" ", max(0, width-cells(s)))
	if right {
		return space + s
	}
	return s + space
}

// gap stands for what is cut.
const gap = "..."

// shorten takes the middle out of a text so that it fits into width columns: both ends of a name
// tell more than what lies between. At least one column is used.
func shorten(s string, width int) string {
	if cells(s) <= width {
		return s
	}
	if width <= cells(gap) {
		return gap[:max(1, width)]
	}
	keep := width - cells(gap)
	head := keep / 3
	return runewidth.Truncate(s, head, "") + gap + tail(s, keep-head)
}

// shortenPath returns a path as it is printed in width columns: whole, or its file's name with as
// many of the folders before it as there is room for, or that name without its middle.
func shortenPath(path string, width int) string {
	if s := metadata.Printable(path); cells(s) <= width {
		return s
	}
	for i := range path {
		if s := gap + metadata.Printable(path[i:]); strings.ContainsAny(path[i:i+1], `/\`) && cells(s) <= width {
			return s
		}
	}
	return shorten(metadata.Printable(report.ClipName(path)), width)
}

// tail returns the end of s, at most width columns of it.
func tail(s string, width int) string {
	for s != "" && cells(s) > width {
		_, s = cut(s)
	}
	return s
}

// cut splits the first rune off.
func cut(s string) (first, rest string) {
	for i := range s {
		if i > 0 {
			return s[:i], s[i:]
		}
	}
	return s, ""
}
