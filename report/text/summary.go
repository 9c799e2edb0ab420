package text

import (
	"fmt"
	"io"
	"strings"

	"stopledger/report"
)

// Summary writes the last line of an audit, and, where their signs have scrolled away, the clips
// that need a person.
func (a *Audit) Summary(doc *report.Document) error {
	var b strings.Builder
	b.WriteString(Wrap(Summary(doc), "", a.layout.Width))
	const screenful, mostNamed = 8, 20 // clips
	if urgent := urgentPaths(doc); len(doc.Clips) > screenful {
		for _, path := range urgent[:min(len(urgent), mostNamed)] {
			b.WriteString(a.layout.paint(styleAlarm, "!") + " " + shortenPath(path, a.pathRoom()) + "\n")
		}
		if more := len(urgent) - mostNamed; more > 0 {
			fmt.Fprintf(&b, "  and %d more\n", more)
		}
	}
	_, err := io.WriteString(a.w, b.String())
	return err
}

func urgentPaths(doc *report.Document) (paths []string) {
	for i := range doc.Clips {
		if doc.Clips[i].Advice.NeedsPerson() {
			paths = append(paths, doc.Clips[i].Path)
		}
	}
	return paths
}

// Summary counts: "12 clips measured, 2 need a person (!), 1 could not be measured."
func Summary(doc *report.Document) string {
	persons := len(urgentPaths(doc))
	s := Plural(len(doc.Clips), "clip") + " measured"
	switch persons {
	case 0:
		s += ", none needs a person"
	case 1:
		s += ", 1 needs a person (!)"
	default:
		s += fmt.Sprintf(", %d need a person (!)", persons)
	}
	if len(doc.Clips) == 0 {
		s = "No clip measured"
	}
	if n := len(doc.Failed); n > 0 {
		s += fmt.Sprintf(", %d could not be measured", n)
	}
	if n := len(doc.NotReached); n > 0 {
		s += fmt.Sprintf(", %d not reached before the interruption", n)
	}
	return s + "."
}
