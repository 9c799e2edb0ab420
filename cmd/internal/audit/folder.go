package audit

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"stopledger/cmd/internal/disk"
	"stopledger/report"
	"stopledger/report/archive"
	"stopledger/report/csv"
	"stopledger/report/html"
	"stopledger/report/ledger"
	"stopledger/report/text"
)

// textWidth is how wide the text in a report's folder is wrapped.
const textWidth = 100

// A Folder is where a verb writes its report. No other run writes it until it is closed.
type Folder struct {
	Dir  string // as the user gave it
	lock *ledger.Lock
}

// PrepareFolder makes the folder of a verb's report, locks it, and checks that it can be written,
// before hours of measuring. What is in it already stays, but for a report of the same verb. The
// error is ledger.ErrInUse where another run writes it.
func PrepareFolder(dir, verb string) (*Folder, error) {
	if dir == "" { // from a variable that is not set, perhaps
		return nil, errors.New("--out names no folder: give it one, or leave it out")
	}
	info, err := os.Stat(dir)
	switch {
	case err == nil && !info.IsDir():
		return nil, fmt.Errorf("--out %s is a file: name a folder", dir)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("--out %s cannot be used: %w", dir, err)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("--out %s cannot be made: %w", dir, err)
	}
	if err := checkEarlier(dir, verb); err != nil {
		return nil, err
	}
	lock, err := ledger.LockFolder(dir)
	if err != nil {
		return nil, fmt.Errorf("--out %s cannot be written to: %w", dir, err)
	}
	sweepParts(dir)
	return &Folder{dir, lock}, nil
}

// Close lets other runs write the folder.
func (f *Folder) Close() { f.lock.Release() }

// Locked tells whether the folder is locked: not so on a file system without locks.
func (f *Folder) Locked() bool { return f.lock.Held() }

// Ledger opens the ledger of the folder, and makes it where there is none; with fresh, nothing that
// earlier runs kept is used.
func (f *Folder) Ledger(fresh bool) (*ledger.Ledger, error) {
	l, err := ledger.Open(f.Dir, f.lock, fresh)
	if err != nil {
		return nil, fmt.Errorf("--out: %w", err)
	}
	return l, nil
}

// Fuller tells whether the report that lies in the folder is fuller than one that an interrupted run
// would write: it is complete, or has more clips. Then it stays.
func (f *Folder) Fuller(measured int) bool {
	file, err := disk.Open(filepath.Join(f.Dir, auditDocument))
	if err != nil {
		return false
	}
	defer file.Close()
	schema, complete, clips, err := report.Outline(file)
	return err == nil && (complete || schema == report.Schema1 || clips > measured)
}

// WriteAudit writes the documents and pages of an audit into dir, numbers first. Pictures were
// written as the clips were measured.
func WriteAudit(dir string, doc *report.Document) error {
	if err := writeDocuments(dir, doc); err != nil {
		return err
	}
	if err := html.Write(dir, doc); err != nil {
		return err
	}
	sweepStale(dir, doc)
	return nil
}

// WriteComparison writes the comparison, and what an audit has. Its document comes first: it tells
// what the folder holds.
func WriteComparison(dir string, doc *report.Document, c *report.Comparison) error {
	layout := text.Layout{Width: textWidth}
	err := writeFiles(dir, []file{
		{compareDocument, func(w io.Writer) error { return report.WriteComparisonJSON(w, c) }},
		{compareTable, func(w io.Writer) error { return csv.WriteComparison(w, c) }},
		{compareText, func(w io.Writer) error { return text.WriteComparison(w, c, layout) }},
	})
	if err != nil {
		return err
	}
	if err := WriteAudit(dir, doc); err != nil {
		return err
	}
	return writeComparisonPage(dir, c)
}

// WriteZip writes the report that lies in a folder as one file in it, named as archive.Path tells, that can be
// mailed. It holds the folder's documents, and pages with smaller pictures.
func WriteZip(dir string, doc *report.Document, c *report.Comparison) error {
	return archive.Write(dir, archive.Report{Document: doc, Comparison: c, Documents: []string{auditDocument,
		report.AuditTable, auditText, compareDocument, compareTable, compareText}})
}

func writeDocuments(dir string, doc *report.Document) error {
	layout := text.Layout{Width: textWidth}
	return writeFiles(dir, []file{
		{auditDocument, func(w io.Writer) error { return report.WriteJSON(w, doc) }},
		{report.AuditTable, func(w io.Writer) error { return csv.WriteAudit(w, doc) }},
		{auditText, func(w io.Writer) error { return text.WriteAudit(w, doc, layout) }},
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
