package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"time"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/history"
	"stopledger/cmd/internal/terminal"
	"stopledger/report"
	"stopledger/report/csv"
	"stopledger/report/html"
	"stopledger/report/text"
)

const ledgerUsage = `Usage: stopledger ledger [flags] DIR...

Tells placement, noise floor and clipping by day, camera and ISO, from the ledgers of many audits:
those in the folders named and below. Ledgers are only read. A clip that several audits have, under
one path or several, is counted once, as it was measured last.

A day is that of the recording, in the zone that the clip names (containers often say UTC). For a
clip that does not say, or was measured by a version that did not look, it is that of its file, in
the zone of this computer. Grey is told of clips with a card, chart, region or face. The floor is in
recorded stops. Figures are medians.

Examples:
  stopledger ledger day12
  stopledger ledger --since 2026-01-01 --format csv day12
  stopledger ledger --camera alexa --out days.html day12
`

// ledgerFlags are what is asked of ledgers.
type ledgerFlags struct {
	since, camera, out string
	format             format
}

// ledger tells of many audits by day.
func (a app) ledger(ctx context.Context, args []string) error {
	f := ledgerFlags{}
	fs := pflag.NewFlagSet("ledger", pflag.ContinueOnError)
	fs.Func("since", "`D`: from this day on: a date such as 2026-11-01, or so many days back, as 30d", f.setSince)
	fs.StringVar(&f.camera, "camera", "", "`C`: only cameras with this in their make and model")
	fs.Func("format", "`WHAT`: what to print: text (default), json or csv", oneOf(&f.format, inText, inJSON, inCSV))
	fs.StringVar(&f.out, "out", "", "`FILE`: write a page with timelines into this file, too")
	if err := parse("ledger", ledgerUsage, fs, args); err != nil {
		return err
	}
	if fs.NArg() == 0 {
		return &usageError{verb: "ledger", text: "name folders that audit --out wrote"}
	}
	if fs.Changed("out") {
		if err := checkPage(f.out); err != nil {
			return &usageError{verb: "ledger", text: err.Error(), err: err}
		}
	}
	d, err := history.Read(ctx, history.Question{Folders: fs.Args(), Since: f.since, Camera: f.camera, Zone: time.Local})
	if err != nil && ctx.Err() == nil {
		return &usageError{verb: "ledger", text: folderTrouble(err), err: err}
	}
	if err != nil {
		return err
	}
	d.Tool = a.tool()
	return a.tellDays(d, f)
}

// tellDays writes the page and prints the days.
func (a app) tellDays(d *report.Days, f ledgerFlags) error {
	if f.out != "" {
		if err := html.WriteDays(f.out, d); err != nil {
			return err
		}
	}
	con := terminal.New(a.stdout, a.stderr, 0, true)
	if err := printAs(con, f.format, d, report.WriteDaysJSON, csv.WriteDays, text.WriteDays); err != nil {
		return fmt.Errorf("the result cannot be printed: %w", err)
	}
	for _, u := range d.Unread {
		con.Note("not read: " + oneLine(errors.New(u.Error)))
	}
	if len(d.Unread) > 0 {
		return fmt.Errorf("%s could not be read", text.Plural(len(d.Unread), "ledger"))
	}
	return nil
}

var daysBack = regexp.MustCompile(`^([0-9]{1,5})d$`)

func (f *ledgerFlags) setSince(said string) error {
	if m := daysBack.FindStringSubmatch(said); m != nil {
		n, err := strconv.Atoi(m[1])
		f.since = time.Now().AddDate(0, 0, -n).Format(time.DateOnly)
		return err
	}
	if _, err := time.Parse(time.DateOnly, said); err != nil {
		return cannotBe(strconv.Quote(said), "a date such as 2026-11-01, or days back such as 30d")
	}
	f.since = said
	return nil
}

// checkPage refuses to write a page over what is none of ours.
func checkPage(path string) error {
	info, err := os.Stat(path)
	switch {
	case path == "":
		return errors.New("--out names no file: give it one, or leave it out")
	case errors.Is(err, fs.ErrNotExist):
		if _, err := os.Stat(filepath.Dir(path)); err != nil {
			return fmt.Errorf("--out %s cannot be written: %w", path, err)
		}
		return nil
	case err != nil:
		return fmt.Errorf("--out %s cannot be written: %w", path, err)
	case !info.Mode().IsRegular():
		return fmt.Errorf("--out %s is no file: name one for the page", path)
	}
	page, err := os.ReadFile(path)
	if err == nil && !bytes.Contains(page, []byte("Written by stopledger")) {
		err = fmt.Errorf("--out %s is a file that stopledger did not write: name another", path)
	}
	return err
}
