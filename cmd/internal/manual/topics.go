package manual

import (
	"embed"
	"strings"
)

// A Topic is what help tells of beside the commands.
type Topic struct {
	Name    string // as it is asked for
	Summary string // one line
	Text    string // its page: paragraphs, headings, examples; "" for a topic that prints what it is asked for
	Listing string // what stands after the text as it is: a script, a file, a table
}

// pages are the topics' texts: a summary, an empty line, and the page.
//
//go:embed topics/*.txt
var pages embed.FS

// Topics returns the topics that have a page, in the order in which help shows them: first the guide
// through a day, then what files hold.
func Topics() (list []Topic) {
	for _, name := range []string{"exposing", "page", "noise", "handover", "cards", "cluster", "rules", "json", "csv"} {
		page, err := pages.ReadFile("topics/" + name + ".txt")
		if err != nil {
			panic(err) // built in
		}
		summary, text, _ := strings.Cut(string(page), "\n\n")
		list = append(list, Topic{Name: name, Summary: summary, Text: text})
	}
	return list
}

// Page returns what help prints of a topic.
func (t Topic) Page() string {
	if t.Listing == "" {
		return t.Text
	}
	return t.Text + "\n" + t.Listing
}

// heading tells whether a paragraph is a heading: a line on its own that is no sentence.
func heading(paragraph string) bool {
	return !strings.ContainsAny(paragraph, "\n") && !strings.HasPrefix(paragraph, " ") &&
		!strings.HasSuffix(paragraph, ".") && !strings.HasSuffix(paragraph, ":") && !strings.HasSuffix(paragraph, "?")
}
