package main

// nearest returns the one of names that takes fewest edits to reach from what was typed, or ""
// where none is near: more than a third of the typed letters, and at least two, would change.
func nearest(typed string, names []string) string {
	best, least := "", max(2, len(typed)/3)+1
	for _, name := range names {
		if n := edits(typed, name); n < least {
			best, least = name, n
		}
	}
	return best
}

// edits is how many bytes must be put in, taken out or changed to make b of a (the Levenshtein
// distance).
func edits(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		above := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := above
			if a[i] != b[j] {
				change++
			}
			above = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
