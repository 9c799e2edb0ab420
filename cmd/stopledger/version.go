package main

import (
	"context"
	"fmt"
	"runtime"
	"strings"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/config"
	"stopledger/curve"
)

const versionUsage = `Usage: stopledger version [--verbose]

Prints the version, FFmpeg's libraries and the edition of the table of curves; with --verbose also
the file of your own defaults with what it sets, and what it was built with. Versions are semantic:
-dev is on the way to a release, and the commit stands after it where it is known.

Your own defaults are a TOML file, config.toml in the folder stopledger of the usual folder for
settings (~/.config, or $XDG_CONFIG_HOME). Flags go before it. It may hold:

    assume = "slog3"   # the curve of clips that do not name theirs, or its file
    ei = 800           # exposure index, where the curve differs with it
    target = 0.5       # stops over nominal after the correction, or "scene"
    display = "a.cube" # by its path or beside this file; --display none leaves it out

Example:
  stopledger version --verbose
`

// tellVersion prints the program's version, and what else results rest on.
func (a app) tellVersion(_ context.Context, args []string) error {
	fs := pflag.NewFlagSet("version", pflag.ContinueOnError)
	verbose := fs.Bool("verbose", false, "also your own defaults, and what it was built with")
	if err := parse("version", versionUsage, fs, args); err != nil {
		return err
	}
	if fs.NArg() > 0 {
		return &usageError{verb: "version", text: "it takes no names"}
	}
	lines := []string{
		"stopledger " + a.version,
		"ffmpeg    " + strings.Join(audit.Libraries(), ", "),
		fmt.Sprintf("curves    %d, edition %s", len(curve.All()), curve.Edition)}
	if *verbose {
		defaults, err := a.tellDefaults()
		if err != nil {
			return &usageError{verb: "version", text: err.Error(), err: err}
		}
		lines = append(lines,
			"defaults  "+defaults,
			fmt.Sprintf("built     %s, %s/%s", runtime.Version(), runtime.GOOS, runtime.GOARCH))
	}
	_, err := fmt.Fprintln(a.stdout, strings.Join(lines, "\n"))
	return err
}

// tellDefaults says which file of defaults is read and what it sets. A mistake in it is an error, as it
// is of audit.
func (a app) tellDefaults() (string, error) {
	own, err := config.Read(a.config)
	if err != nil || !own.Found {
		return "none (" + a.config + ")", err
	}
	var f measureFlags
	fs := pflag.NewFlagSet("audit", pflag.ContinueOnError)
	f.add(fs)
	if err := f.takeDefaults(fs, own); err != nil {
		return "", err
	}
	if err := f.complete(); err != nil {
		return "", err
	}
	said := a.config + ":"
	for _, d := range own.Defaults {
		said += " " + d.Flag + " = " + d.Text + ","
	}
	return strings.TrimRight(said, ":,"), nil
}
