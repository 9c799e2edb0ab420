package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"stopledger/report"
)

// textWidth is how wide the text in a report's folder is wrapped.
const textWidth = 100

// prepareFolder makes the folder of a verb's report and checks that it can be written, before
// hours of measuring. What is in it already stays, but for a report of the same verb.
func prepareFolder(dir, verb string) error {
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

// writeAudit writes the documents and pages of an audit into dir.
func writeAudit(dir string, doc *report.Document) error {
	if err := writeDocuments(dir, doc); err != nil {
		return err
	}
	return writePages(dir, false)
}

func writeDocuments(dir string, doc *report.Document) error {
	return writeFiles(dir, []file{
		{"audit.json", func(w io.Writer) error { return report.WriteJSON(w, *doc) }},
		{"audit.csv", func(w io.Writer) error { return report.WriteCSV(w, *doc) }},
		{"audit.txt", func(w io.Writer) error { return report.WriteText(w, *doc, report.Layout{Width: textWidth}) }},
	})
}

// writePages writes the pages of what is in dir, those of a comparison too if it is compared. They
// are made of the document as it was written, numbers rounded, so that show makes the same ones.
// Pictures were written as the clips were measured.
func writePages(dir string, compared bool) error {
	doc, err := readAudit(dir)
	if err != nil {
		return err
	}
	if err := report.WritePages(dir, doc, nil); err != nil {
		return err
	}
	if compared && len(doc.Clips) > 0 { // its page needs a take
		return report.WriteCompare(dir, doc, nil)
	}
	return nil
}

// writeComparison writes the comparison, and what an audit has. Its document comes first: it tells
// what the folder holds.
func writeComparison(dir string, doc *report.Document) error {
	c := report.Compare(*doc)
	err := writeFiles(dir, []file{
		{"compare.json", func(w io.Writer) error { return report.WriteComparisonJSON(w, c) }},
		{"compare.csv", func(w io.Writer) error { return report.WriteComparisonCSV(w, c) }},
		{"compare.txt", func(w io.Writer) error { return report.WriteComparisonText(w, c, report.Layout{Width: textWidth}) }},
	})
	if err != nil {
		return err
	}
	if err := writeDocuments(dir, doc); err != nil {
		return err
	}
	return writePages(dir, true)
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
