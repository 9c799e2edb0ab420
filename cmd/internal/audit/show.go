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
// there is none. Pictures stay as they are.
func Show(dir string) error {
	lock, err := ledger.LockFolder(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: there is no such folder; name one that stopledger audit --out wrote", dir)
	}
	if err != nil {
		return err
	}
	defer lock.Release()
	if err := WithDocument(dir, func(doc *report.Document) error { return html.Write(dir, doc) }); err != nil {
		return err
	}
	if _, err := os.Stat(filepath.Join(dir, compareDocument)); err != nil {
		return nil // it is no comparison
	}
	c, err := readDocument(dir, compareDocument, report.ReadComparisonJSON)
	if err != nil {
		return err
	}
	return writeComparisonPage(dir, c)
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
