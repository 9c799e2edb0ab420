package audit

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"stopledger/report"
	"stopledger/report/html"
)

// Show writes the pages of a report's folder anew from the documents in it. Pictures stay as they
// are.
func Show(dir string) error {
	doc, err := readDocument(dir, auditDocument, report.ReadJSON)
	if err != nil {
		return err
	}
	if err := html.Write(dir, doc); err != nil {
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

func readDocument[T any](dir, name string, read func(io.Reader) (*T, error)) (*T, error) {
	path := filepath.Join(dir, name)
	f, err := os.Open(path)
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
