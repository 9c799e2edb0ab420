package audit

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"stopledger/report"
	"stopledger/report/csv"
	"stopledger/report/html"
	"stopledger/report/text"
)

// textWidth is how wide the text in a report's folder is wrapped.
const textWidth = 100

// PrepareFolder makes the folder of a verb's report and checks that it can be written, before
// hours of measuring. What is in it already stays, but for a report of the same verb.
func PrepareFolder(dir, verb string) error {
	if dir == "" { // from a variable that is not set, perhaps
		return errors.New("--out names no folder: give it one, or leave it out")
	}
	info, err := os.Stat(dir)
	switch {
	case err == nil && !info.IsDir():
		return fmt.Errorf("--out %s is a file: name a folder", dir)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("--out %s cannot be used: %w", dir, err)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("--out %s cannot be made: %w", dir, err)
	}
	if err := checkEarlier(dir, verb); err != nil {
		return err
	}
	probe, err := os.CreateTemp(dir, ".stopledger.*.part")
	if err != nil {
		return fmt.Errorf("--out %s cannot be written to: %w", dir, err)
	}
	probe.Close()
	return os.Remove(probe.Name())
}

// WriteAudit writes the documents and pages of an audit into dir. Pictures were written as the
// clips were measured.
func WriteAudit(dir string, doc *report.Document) error {
	if err := writeDocuments(dir, doc); err != nil {
		return err
	}
	return html.Write(dir, doc)
}

// WriteComparison writes the comparison, and what an audit has. Its document comes first: it tells
// what the folder holds.
func WriteComparison(dir string, doc *report.Document, c *report.Comparison) error {
	layout := text.Layout{Width: textWidth}
	err := writeFiles(dir, []file{
		{compareDocument, func(w io.Writer) error { return report.WriteComparisonJSON(w, c) }},
		{"compare.csv", func(w io.Writer) error { return csv.WriteComparison(w, c) }},
		{"compare.txt", func(w io.Writer) error { return text.WriteComparison(w, c, layout) }},
	})
	if err != nil {
		return err
	}
	if err := WriteAudit(dir, doc); err != nil {
		return err
	}
	return writeComparisonPage(dir, c)
}

func writeDocuments(dir string, doc *report.Document) error {
	layout := text.Layout{Width: textWidth}
	return writeFiles(dir, []file{
		{auditDocument, func(w io.Writer) error { return report.WriteJSON(w, doc) }},
		{"audit.csv", func(w io.Writer) error { return csv.WriteAudit(w, doc) }},
		{"audit.txt", func(w io.Writer) error { return text.WriteAudit(w, doc, layout) }},
	})
}

func writeComparisonPage(dir string, c *report.Comparison) error {
	if len(c.Clips) == 0 { // the page needs a take
		return nil
	}
	return html.WriteComparison(dir, c)
}

type file struct {
	name  string
	write func(io.Writer) error
}

func writeFiles(dir string, files []file) error {
	for _, f := range files {
		if err := report.WriteFile(filepath.Join(dir, f.name), f.write); err != nil {
			return err
		}
	}
	return nil
}
