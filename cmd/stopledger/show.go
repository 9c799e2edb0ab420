package main

import (
	"context"
	"fmt"
	"os"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/audit"
	"stopledger/report/archive"
)

const showUsage = `Usage: stopledger show [flags] DIR

Writes the pages of a report's folder anew from its ledger, or from its audit.json where it has
none, as after an update of the program. Pictures stay as they are.

Examples:
  stopledger show day12
  stopledger show --zip day12
`

// show rebuilds the pages of a folder that audit or compare wrote.
func (a app) show(_ context.Context, args []string) error {
	flags := pflag.NewFlagSet("show", pflag.ContinueOnError)
	zip := flags.Bool("zip", false, zipUsage)
	if err := parse("show", showUsage, flags, args); err != nil {
		return err
	}
	if flags.NArg() != 1 {
		return &usageError{verb: "show", text: "name one folder that audit --out wrote"}
	}
	dir := flags.Arg(0)
	if err := audit.Show(dir, *zip); err != nil {
		return err
	}
	if !*zip {
		a.tellOldZip(dir)
	}
	return nil
}

// zipUsage tells of --zip.
const zipUsage = "write the report as one file to be mailed, too: pages, documents and smaller pictures, at most " +
	"300 kB a clip, in the folder and named as it is, such as day12/day12.zip"

// tellOldZip says that the file to be mailed is of an earlier report than what was written now.
func (a app) tellOldZip(dir string) {
	if info, err := os.Stat(archive.Path(dir)); err == nil && info.Mode().IsRegular() {
		fmt.Fprintf(a.stderr, "note: %s holds an earlier report: write it anew with stopledger show --zip %s\n",
			archive.Path(dir), dir)
	}
}
