package metadata

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// Printable returns s with everything that could move the cursor, change colours or break the
// line written out as an escape ("\x1b"), so that what a file says, or is called, cannot act on a
// terminal.
func Printable(s string) string {
	if utf8.ValidString(s) && !hasControls(s) {
		return s
	}
	quoted := strconv.Quote(s)
	return strings.ReplaceAll(quoted[1:len(quoted)-1], `\"`, `"`)
}

func hasControls(s string) bool {
	return strings.ContainsFunc(s, func(r rune) bool { return !strconv.IsPrint(r) })
}
