package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/pflag"

	"stopledger/report"
)

const demoUsage = `Usage: stopledger demo [DIR]

Makes a few short clips of an invented film about a ferry crew with a synthetic camera, encodes
them as cameras do, and audits them as you would audit a day's footage. DIR (stopledger-demo if
you name none) receives the clips and the reports; open DIR/report/index.html afterwards.

Example:
  stopledger demo
`

const demoFolder = "stopledger-demo"

// demo makes the clips, audits them and sets two test takes side by side.
func (a app) demo(ctx context.Context, args []string) error {
	flags := pflag.NewFlagSet("demo", pflag.ContinueOnError)
	if err := parse("demo", demoUsage, flags, args, a.stdout); err != nil {
		return err
	}
	dir := demoFolder
	switch flags.NArg() {
	case 0:
	case 1:
		dir = flags.Arg(0)
	default:
		return &usageError{verb: "demo", text: "name one folder at most"}
	}
	clips := filepath.Join(dir, "clips")
	if err := makeDemo(ctx, clips, a.stderr); err != nil {
		if ctx.Err() != nil {
			fmt.Fprintln(a.stderr, "interrupted: clips that are recorded stay; the same command goes on from there")
			return errInterrupted
		}
		return err
	}
	if err := a.audit(ctx, []string{"--out", filepath.Join(dir, "report"), clips}); err != nil {
		return err
	}
	takes := []string{"--out", filepath.Join(dir, "takes")}
	for _, shot := range demoTakes {
		takes = append(takes, filepath.Join(clips, shot))
	}
	fmt.Fprintln(a.stdout)
	if err := a.compare(ctx, takes); err != nil {
		return err
	}
	fmt.Fprintf(a.stderr, "\nThe pages: %s\n           %s\n",
		filepath.Join(dir, "report", report.IndexPage), filepath.Join(dir, "takes", report.ComparePage))
	return nil
}

// makeDemo records the clips that are not there yet. A clip is recorded under another name and
// renamed, so that one that was broken off is not taken for finished.
func makeDemo(ctx context.Context, dir string, stderr io.Writer) error {
	for _, shot := range demoShots() {
		if err := ctx.Err(); err != nil {
			return err
		}
		path := filepath.Join(dir, shot.name)
		if _, err := os.Stat(path); err == nil {
			continue
		}
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return fmt.Errorf("the demo's folder cannot be made: %w; name another one", err)
		}
		fmt.Fprintf(stderr, "recording %s: %s\n", shot.name, shot.about)
		part := filepath.Join(filepath.Dir(path), ".part-"+filepath.Base(path))
		if err := shot.record(part); err != nil {
			os.Remove(part)
			return fmt.Errorf("recording %s: %w", path, err)
		}
		if err := os.Rename(part, path); err != nil {
			return fmt.Errorf("recording %s: %w", path, err)
		}
	}
	return nil
}
