// Package spelling finds what somebody meant who mistyped a name.
package spelling

import "github.com/agnivade/levenshtein"

// Nearest returns the one of names that takes fewest edits to reach from what was typed, or ""
// where none is near: more than a third of the typed letters, and at least two, would change.
func Nearest(typed string, names []string) string {
	best, least := "", max(2, len(typed)/3)+1
	for _, name := range names {
		if n := levenshtein.ComputeDistance(typed, name); n < least {
			best, least = name, n
		}
	}
	return best
}
