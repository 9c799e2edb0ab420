package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/terminal"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/csv"
	"stopledger/report/text"
)

const mergeUsage = `Usage: stopledger merge DIR... --out DIR

Makes one report of several: of the parts of a run that audit --shard K/N wrote, or of any audits
with the same settings. It is what one run over all of their clips writes, in the order of paths, and
has their pictures; clips are not needed. A clip that is in two of them, the same file at the same
path, is taken from the later measurement. Where a part is missing the report says that it is not
complete, and the exit code is 3: give the command again when the part is there. Folders of earlier
versions are read too.

Example:
  stopledger audit --quiet --shard 1/2 --out part1 /media/card
  stopledger audit --quiet --shard 2/2 --out part2 /media/card
  stopledger merge part1 part2 --out whole
`

// mergeFlags are the flags of merge.
type mergeFlags struct {
	out         string
	format      format
	gate, quiet bool
}

// merge makes one report of several.
func (a app) merge(ctx context.Context, args []string) error {
	var f mergeFlags
	fs := pflag.NewFlagSet("merge", pflag.ContinueOnError)
	fs.StringVar(&f.out, "out", "", "`DIR`: write the one report into this folder; it must be given")
	fs.Func("format", "`WHAT`: what to print: text (default), json or csv", oneOf(&f.format, inText, inJSON, inCSV))
	fs.BoolVar(&f.gate, "gate", false, "exit with code 4 if a clip broke a rule or has another finding at level alarm")
	fs.BoolVar(&f.quiet, "quiet", false, "print nothing but errors, and what is missing or was in two of the folders")
	if err := parse("merge", mergeUsage, fs, args); err != nil {
		return err
	}
	switch {
	case fs.NArg() == 0:
		return &usageError{verb: "merge", text: "name folders that audit --out wrote"}
	case !fs.Changed("out"):
		return &usageError{verb: "merge", text: "name a folder for the one report with --out"}
	}
	folder, err := audit.PrepareFolder(f.out, "merge")
	if err != nil {
		return folderError("merge", err)
	}
	defer folder.Close()
	m := audit.Merge{Tool: a.tool(), Dirs: fs.Args(), Into: folder,
		Note: func(line string) { fmt.Fprintln(a.stderr, metadata.Printable(line)) },
		Done: func(doc *report.Document) error { return a.concludeMerge(doc, f) }}
	err = m.Run(ctx)
	var refused audit.MergeError
	if errors.As(err, &refused) {
		return &usageError{verb: "merge", text: err.Error(), err: err}
	}
	return err
}

// concludeMerge prints the document and returns how the verb ended.
func (a app) concludeMerge(doc *report.Document, f mergeFlags) error {
	a.tellFailures(doc.Failed, nil)
	if n := len(doc.NotReached); n > 0 {
		fmt.Fprintf(a.stderr, "not complete: %s not measured: %s\n", text.Plural(n, "clip"),
			metadata.Printable(some(doc.NotReached)))
	}
	if err := a.printMerged(doc, f); err != nil {
		return fmt.Errorf("the result cannot be printed, but the report is in %s: %w", f.out, err)
	}
	switch {
	case f.gate && hasAlarm(*doc):
		return errAlarm
	case len(doc.Failed) > 0 || !doc.Complete:
		return errSomeFailed
	}
	return nil
}

func (a app) printMerged(doc *report.Document, f mergeFlags) error {
	con := terminal.New(a.stdout, a.stderr, 0, true)
	if f.quiet && f.format != inJSON && f.format != inCSV {
		return nil
	}
	return printAs(con, f.format, doc, report.WriteJSON, csv.WriteAudit, text.WriteAudit)
}

// some names a few of many.
func some(names []string) string {
	const most = 3
	words := strings.Join(names[:min(most, len(names))], ", ")
	if more := len(names) - most; more > 0 {
		words += fmt.Sprintf(" and %d more", more)
	}
	return words
}
