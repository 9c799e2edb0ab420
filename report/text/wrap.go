package text

import (
	"regexp"
	"strings"
)

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

// An entry of a list in a text: a word, two spaces or more, and what it means, whose next lines begin below it.
var entry = regexp.MustCompile(`^( +\S+  +)\S`)

// Reflow wraps paragraphs, and lists of words with their meanings, to width columns. Other lines that are indented
// are commands or files and stay as they are.
func Reflow(text string, width int) string {
	var b strings.Builder
	var paragraph []string
	head := "" // of the entry that the paragraph is
	flush := func() {
		if len(paragraph) > 0 {
			wrapped := Wrap(strings.Join(paragraph, " "), strings.Repeat(" ", cells(head)), width)
			b.WriteString(head + wrapped[len(head):])
		}
		paragraph, head = nil, ""
	}
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		begins := entry.FindStringSubmatch(line)
		switch below := strings.Repeat(" ", len(head)); {
		case line == "":
			flush()
			b.WriteString("\n")
		case begins != nil:
			flush()
			head, paragraph = begins[1], []string{line[len(begins[1]):]}
		case head != "" && strings.HasPrefix(line, below) && line[len(head)] != ' ':
			paragraph = append(paragraph, line[len(head):])
		case line[0] == ' ' || strings.HasPrefix(line, "Usage:"):
			flush()
			b.WriteString(line + "\n")
		default:
			if head != "" {
				flush()
			}
			paragraph = append(paragraph, line)
		}
	}
	flush()
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
