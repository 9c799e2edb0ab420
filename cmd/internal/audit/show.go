package audit

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"stopledger/cmd/internal/disk"
	"stopledger/cmd/internal/exact"
	"stopledger/report"
	"stopledger/report/html"
	"stopledger/report/ledger"
)

// Show writes the pages of a report's folder anew: from its ledger, or from the documents in it where
// there is none. Pictures stay as they are. With zip it writes the file to be mailed, too (see WriteZip).
func Show(dir string, zip bool) error {
	lock, err := ledger.LockFolder(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: there is no such folder; name one that stopledger audit --out wrote", dir)
	}
	if err != nil {
		return err
	}
	defer lock.Release()
	var compared *report.Comparison
	if _, err := os.Stat(filepath.Join(dir, compareDocument)); err == nil {
		if compared, err = readDocument(dir, compareDocument, report.ReadComparisonJSON); err != nil {
			return err
		}
	}
	return WithDocument(dir, func(doc *report.Document) error {
		if err := html.Write(dir, doc); err != nil {
			return err
		}
		if compared != nil {
			if err := writeComparisonPage(dir, compared); err != nil {
				return err
			}
		}
		if !zip {
			return nil
		}
		return WriteZip(dir, doc, compared)
	})
}

// HoldsReport tells whether a folder is one that an audit was written into.
func HoldsReport(dir string) bool {
	for _, name := range []string{auditDocument, ledger.FileName} {
		if info, err := os.Stat(filepath.Join(dir, name)); err == nil && info.Mode().IsRegular() {
			return true
		}
	}
	return false
}

// WithDocument does something with the document that a folder's pages show, whose clips may be in brief.
func WithDocument(dir string, do func(*report.Document) error) error {
	l, err := ledger.OpenReadOnly(dir)
	if err != nil && !errors.Is(err, ledger.ErrMissing) {
		return err
	}
	if err == nil {
		defer l.Close()
		d, err := reported(l, dir)
		if err != nil {
			return err
		}
		if d != nil {
			if doc, err := d.Document(); !errors.Is(err, exact.ErrOtherType) {
				if err != nil {
					return err
				}
				return do(doc)
			}
		}
	}
	doc, err := readDocument(dir, auditDocument, report.ReadJSON)
	if err != nil {
		return err
	}
	return do(doc)
}

func readDocument[T any](dir, name string, read func(io.Reader) (*T, error)) (*T, error) {
	path := filepath.Join(dir, name)
	f, err := disk.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: there is no such file; name a folder that stopledger audit --out wrote", path)
	}
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", path, err)
	}
	defer f.Close()
	doc, err := read(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w; write it again with stopledger audit --out %s", path, err, dir)
	}
	return doc, nil
}
