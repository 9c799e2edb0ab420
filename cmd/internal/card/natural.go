package card

import (
	"cmp"
	"strings"
)

// naturally compares names as people count: take9 before take10. Runs of ASCII digits compare by
// their number, of any length; everything else by letter without case. Names that are equal in
// this way are put in the order of their bytes, so that only equal names compare as 0.
func naturally(a, b string) int {
	for x, y := strings.ToLower(a), strings.ToLower(b); x != "" && y != ""; {
		var p, q string
		p, x = chunk(x)
		q, y = chunk(y)
		if c := compareChunks(p, q); c != 0 {
			return c
		}
		if c := cmp.Compare(min(len(x), 1), min(len(y), 1)); c != 0 {
			return c
		}
	}
	return strings.Compare(a, b)
}

// chunk splits off the first run of digits or of anything else.
func chunk(s string) (first, rest string) {
	n := 1
	for n < len(s) && isDigit(s[n]) == isDigit(s[0]) {
		n++
	}
	return s[:n], s[n:]
}

// compareChunks puts numbers before words, and compares numbers by length without leading zeros
// first, so that no number is too long.
func compareChunks(p, q string) int {
	switch {
	case isDigit(p[0]) && isDigit(q[0]):
		p, q = strings.TrimLeft(p, "0"), strings.TrimLeft(q, "0")
		if c := cmp.Compare(len(p), len(q)); c != 0 {
			return c
		}
	case isDigit(p[0]):
		return -1
	case isDigit(q[0]):
		return 1
	}
	return strings.Compare(p, q)
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }
