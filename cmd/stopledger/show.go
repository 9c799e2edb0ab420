package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/pflag"

	"stopledger/report"
)

const showUsage = `Usage: stopledger show DIR

Writes the pages of a report's folder anew from its audit.json, as after an update of the
program or after the document was changed. Pictures stay as they are.

Example:
  stopledger show day12
`

// show rebuilds the pages of a folder that audit or compare wrote.
func (a app) show(_ context.Context, args []string) error {
	flags := pflag.NewFlagSet("show", pflag.ContinueOnError)
	if err := parse("show", showUsage, flags, args, a.stdout); err != nil {
		return err
	}
	if flags.NArg() != 1 {
		return &usageError{verb: "show", text: "name one folder that audit --out wrote"}
	}
	dir := flags.Arg(0)
	_, err := os.Stat(filepath.Join(dir, "compare.json"))
	return writePages(dir, err == nil)
}

func readAudit(dir string) (*report.Document, error) {
	path := filepath.Join(dir, "audit.json")
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: there is no such file; name a folder that stopledger audit --out wrote", path)
	}
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", path, err)
	}
	defer f.Close()
	doc, err := report.ReadJSON(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w; write it again with stopledger audit --out %s", path, err, dir)
	}
	return &doc, nil
}
