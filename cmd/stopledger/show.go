package main

import (
	"context"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/audit"
)

const showUsage = `Usage: stopledger show DIR

Writes the pages of a report's folder anew from its ledger, or from its audit.json where it has
none, as after an update of the program. Pictures stay as they are.

Example:
  stopledger show day12
`

// show rebuilds the pages of a folder that audit or compare wrote.
func (a app) show(_ context.Context, args []string) error {
	flags := pflag.NewFlagSet("show", pflag.ContinueOnError)
	if err := parse("show", showUsage, flags, args); err != nil {
		return err
	}
	if flags.NArg() != 1 {
		return &usageError{verb: "show", text: "name one folder that audit --out wrote"}
	}
	return audit.Show(flags.Arg(0))
}
