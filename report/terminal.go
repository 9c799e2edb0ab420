package report

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/mattn/go-runewidth"
)

// A Layout says how text is laid out for whoever reads it.
type Layout struct {
	Width int  // columns of the terminal; 0 for no limit: nothing is wrapped, shortened or left out
	Color bool // mark by colour too what a sign or a word already says
}

// Printable returns s with everything that could move the cursor, change colours or break the
// line written out as an escape ("\x1b"), so that a file name cannot act on a terminal.
func Printable(s string) string {
	if utf8.ValidString(s) && !strings.ContainsFunc(s, func(r rune) bool { return !strconv.IsPrint(r) }) {
		return s
	}
	quoted := strconv.Quote(s)
	return strings.ReplaceAll(quoted[1:len(quoted)-1], `\"`, `"`)
}

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

// shorten takes the middle out of a text so that it fits into width columns: both ends of a name
// tell more than what lies between. At least one column is used.
func shorten(s string, width int) string {
	if cells(s) <= width {
		return s
	}
	const gap = "~"
	keep := max(0, width-cells(gap))
	head := keep / 3
	return runewidth.Truncate(s, head, "") + gap + tail(s, keep-head)
}

// shortenPath returns a path as it is printed in width columns: whole, or its file's name with as
// many of the folders before it as there is room for, or that name without its middle.
func shortenPath(path string, width int) string {
	if s := Printable(path); cells(s) <= width {
		return s
	}
	for i := range path {
		if s := "~" + Printable(path[i:]); strings.ContainsAny(path[i:i+1], `/\`) && cells(s) <= width {
			return s
		}
	}
	return shorten(Printable(clipName(path)), width)
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

// Wrap breaks a sentence between words into lines of at most width columns, each indented; a word
// longer than that gets a line of its own. Width 0 does not break.
func Wrap(text, indent string, width int) string {
	if width <= 0 {
		return indent + text + "\n"
	}
	var b strings.Builder
	line := ""
	for _, word := range glued(text) {
		if line != "" && cells(indent)+cells(line)+1+cells(word) > width {
			b.WriteString(indent + line + "\n")
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	b.WriteString(indent + line + "\n")
	return b.String()
}

// glued returns the words of a text; a number stays together with the unit after it.
func glued(text string) []string {
	var words []string
	for _, w := range strings.Fields(text) {
		if n := len(words); n > 0 && isUnit(w) {
			words[n-1] += " " + w
			continue
		}
		words = append(words, w)
	}
	return words
}

func isUnit(word string) bool {
	switch strings.Trim(word, ".,;()") {
	case "%", "dB", "s", "stops":
		return true
	}
	return false
}

// paint wraps text in the escapes of a colour where the layout has colour.
func (l Layout) paint(style, text string) string {
	if !l.Color || style == "" || text == "" {
		return text
	}
	return "\x1b[" + style + "m" + text + "\x1b[0m"
}

// Styles of ISO/IEC 6429 (ECMA-48, 8.3.117): bold with one of the eight colours.
const (
	styleAlarm   = "1;31"
	styleCaution = "1;33"
	styleHead    = "2"
)
