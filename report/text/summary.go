package text

import (
	"fmt"
	"io"
	"strings"

	"stopledger/decode/metadata"
	"stopledger/report"
)

// Summary writes what was skipped and the last line of an audit, and, where their lines have scrolled
// away, the clips to check by eye.
func (a *Audit) Summary(doc *report.Document) error {
	var b strings.Builder
	b.WriteString(Skipped(doc.Skipped, a.layout))
	b.WriteString(Wrap(Summary(doc), "", a.layout.Width))
	const screenful, mostNamed = 8, 20 // clips
	if urgent := doc.Urgent(); doc.Measured() > screenful {
		for _, path := range urgent[:min(len(urgent), mostNamed)] {
			b.WriteString(listed + shortenPath(path, max(a.pathRoom(), cells(metadata.Printable(report.ClipName(path))))) + "\n")
		}
		if more := len(urgent) - mostNamed; more > 0 {
			fmt.Fprintf(&b, listed+"and %d more\n", more)
		}
	}
	_, err := io.WriteString(a.w, b.String())
	return err
}

// Summary counts: "12 clips measured, 2 to check by eye (!), 1 could not be measured, 8 files not
// read (.r3d)." That none is to be checked is said only where all could be measured.
func Summary(doc *report.Document) string {
	parts := []string{Plural(doc.Measured(), "clip") + " measured"}
	if doc.Measured() == 0 {
		parts[0] = "No clip measured"
	}
	if doc.Shard != "" {
		parts[0] = "Shard " + doc.Shard + ": " + strings.ToLower(parts[0][:1]) + parts[0][1:]
	}
	switch urgent := len(doc.Urgent()); {
	case urgent > 0:
		parts = append(parts, fmt.Sprintf("%d to check by eye (!)", urgent))
	case doc.Measured() > 0 && len(doc.Failed)+len(doc.NotReached) == 0:
		parts = append(parts, "none to check by eye")
	}
	if n := len(doc.Failed); n > 0 {
		parts = append(parts, fmt.Sprintf("%d could not be measured", n))
	}
	if n := len(doc.NotReached); n > 0 {
		parts = append(parts, fmt.Sprintf("%d not reached", n))
	}
	return strings.Join(append(parts, SkippedWords(doc.Skipped)...), ", ") + "."
}
