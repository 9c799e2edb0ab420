// Package text writes an audit or a comparison as text for people. It has the one table of plain
// text, and the words for a clip's figures that pages use too.
package text

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// Printable returns s with everything that could move the cursor, change colours or break the
// line written out as an escape ("\x1b"), so that a file name cannot act on a terminal.
func Printable(s string) string {
	if utf8.ValidString(s) && !strings.ContainsFunc(s, func(r rune) bool { return !strconv.IsPrint(r) }) {
		return s
	}
	quoted := strconv.Quote(s)
	return strings.ReplaceAll(quoted[1:len(quoted)-1], `\"`, `"`)
}
