package text

import "strings"

// Wrap breaks a sentence between words into lines of at most width columns, each indented; a word
// longer than that gets a line of its own, and a number stays together with its unit. Width 0
// does not break.
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
