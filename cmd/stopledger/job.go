package main

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/card"
	"stopledger/cmd/internal/config"
	"stopledger/cmd/internal/runlog"
	"stopledger/cmd/internal/terminal"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/ledger"
	"stopledger/report/text"
)

// A job is what audit or compare was asked to do.
type job struct {
	flags  measureFlags
	paths  []string
	verb   string
	folder *audit.Folder // of the report; nil without one
	share  *audit.Share  // of a run in parts; nil for a whole one
	log    *runlog.Log   // in the report's folder; nil without one

	listed map[report.Failure]bool // failures that are listed already; nil for none
}

// close lets other runs write the folder of the report.
func (j job) close() {
	if j.folder != nil {
		j.folder.Close()
	}
}

// prepare reads and checks the arguments of a verb.
func (a app) prepare(verb, usage string, args []string) (job, error) {
	j := job{verb: verb}
	fs := pflag.NewFlagSet(verb, pflag.ContinueOnError)
	j.flags.add(fs)
	if verb == "audit" {
		fs.Func("shard", "`K/N`: audit part K of N, by the paths below the folders named; stopledger merge makes one "+
			"report of all (see stopledger help cluster)", j.flags.setShard)
		fs.BoolVar(&j.flags.zip, "zip", false, zipUsage)
	}
	if verb == "audit" || verb == "watch" {
		fs.BoolVar(&j.flags.fresh, "fresh", false, "start over: measure every clip anew, whatever the ledger in --out holds")
	}
	if err := a.read(&j, fs, usage, args); err != nil {
		return job{}, err
	}
	switch {
	case fs.Changed("out"):
	case j.flags.zip:
		return job{}, &usageError{verb: verb, text: "--zip is of a report's folder: name one with --out"}
	default:
		return j, nil
	}
	return j, a.prepareFolder(&j)
}

// read reads a verb's arguments into its flags, sets those that were not given to the user's own
// defaults, and checks them.
func (a app) read(j *job, fs *pflag.FlagSet, usage string, args []string) error {
	if err := parse(j.verb, usage, fs, args); err != nil {
		return err
	}
	own, err := config.Read(a.config)
	if err == nil {
		err = j.flags.takeDefaults(fs, own)
	}
	if err != nil {
		return &usageError{verb: j.verb, text: err.Error(), err: err}
	}
	j.paths = fs.Args()
	if slices.Contains(j.paths, "") { // from a variable that is not set, perhaps
		return &usageError{verb: j.verb, text: "one of the names is empty: name clips or folders"}
	}
	if err := j.flags.complete(); err != nil {
		return &usageError{verb: j.verb, text: err.Error(), err: err}
	}
	return nil
}

// prepareFolder makes and locks the folder of the report, and opens its log.
func (a app) prepareFolder(j *job) error {
	folder, err := audit.PrepareFolder(j.flags.out, j.verb)
	if err == nil {
		if j.log, err = runlog.Open(j.flags.out); err != nil {
			folder.Close()
		}
	}
	switch {
	case err != nil:
		return folderError(j.verb, err)
	case !folder.Locked() && !j.flags.quiet:
		fmt.Fprintf(a.stderr, "note: %s lies on a file system without locks: let no other run write it meanwhile\n",
			j.flags.out)
	}
	j.folder = folder
	terminal.OutliveReader()
	return nil
}

// folderError tells a folder that cannot be written now from one that should not have been named.
func folderError(verb string, err error) error {
	if err == nil || errors.Is(err, ledger.ErrInUse) || ledger.Full(err) {
		return err
	}
	return &usageError{verb: verb, text: err.Error(), err: err}
}

// measureAll measures the entries and takes the progress away when it is through. within may end
// before ctx, which ends when the program is interrupted.
func (a app) measureAll(ctx, within context.Context, j job, b audit.Batch, con *terminal.Console) audit.Results {
	noted := make(chan struct{})
	stop := context.AfterFunc(ctx, func() {
		defer close(noted)
		con.Note("interrupted: clips in hand are left, finished ones are reported; interrupt again to quit at once")
	})
	var called []string
	for _, e := range b.Entries {
		called = append(called, metadata.Printable(report.ClipName(e.Name)))
	}
	con.Called(called)
	j.log.Begin(j.verb, a.version, j.flags.settings, b.Entries)
	a.warnOfRoom(j, len(b.Entries), con)
	b.Settings, b.Jobs, b.Folder, b.Progress = j.flags.settings, j.flags.jobs, j.flags.out, con.Progress
	b.Timeout = j.flags.clipTimeout
	b.Measure = j.log.Around(b.Measure)
	res := b.Run(within)
	if !stop() {
		<-noted
	}
	con.Close()
	return res
}

func (a app) tool() report.Tool { return report.Tool{Name: "stopledger", Version: a.version} }

// measuring is the program as one that measures clips.
func (a app) measuring() report.Tool {
	t := a.tool()
	if a.measure == nil {
		t.Unconfined = audit.Unconfined()
	}
	return t
}

// measurer returns what measures clips, and what ends it.
func (a app) measurer(ctx context.Context, j job, entries []card.Entry, con *terminal.Console) (m audit.Measurer,
	end func(), err error) {
	if a.measure != nil {
		return a.measure, func() {}, nil
	}
	if why := audit.Unconfined(); why != "" {
		j.log.Warn(why)
		if !j.flags.quiet {
			con.Note("note: " + why)
		}
	}
	crew := audit.Crew{Verb: workerVerb, Jobs: j.flags.jobs, Timeout: j.flags.clipTimeout}
	workers, err := crew.Hire(ctx, entries, j.flags.settings)
	if err != nil {
		return nil, nil, err
	}
	return workers.Measure, workers.Close, nil
}

// A clip's part of a report is about so large: 0.8 MB was measured at 1280x720, of which 0.3 MB are
// pictures, and 1.4 MB of a phone's 1080p; larger frames are reduced. Common practice, no source.
const (
	clipBytes    = 1 << 20
	pictureBytes = 1 << 20
)

// warnOfRoom warns where a report will hardly fit on its disk.
func (a app) warnOfRoom(j job, clips int, con *terminal.Console) {
	if j.flags.out == "" || a.free == nil {
		return
	}
	needed := int64(clips) * clipBytes
	if j.flags.settings.Pictures {
		needed += int64(clips) * pictureBytes
	}
	if free, known := a.free(j.flags.out); known && free < needed {
		words := fmt.Sprintf("--out %s: the disk has %s free, and a report of %s takes about %s", j.flags.out,
			megabytes(free), text.Plural(clips, "clip"), megabytes(needed))
		con.Note("warning: " + words)
		j.log.Warn(words)
	}
}

func megabytes(bytes int64) string { return fmt.Sprintf("%.1f MB", float64(bytes)/1e6) }

// conclude ends a verb as finish does, and tells it to the log.
func (a app) conclude(j job, doc report.Document, res audit.Results, printed error, write func() error) error {
	err := a.finish(j, doc, res, printed, write)
	if unlogged := j.log.End(&doc, exitCode(err), err); err == nil {
		return unlogged
	}
	return err
}

// finish writes the report's folder, lists the failures and returns how the verb ended.
func (a app) finish(j job, doc report.Document, res audit.Results, printed error, write func() error) error {
	a.tellFailures(doc.Failed, j.listed)
	if err := write(); err != nil {
		return err
	}
	switch {
	case printed != nil && j.flags.out != "":
		return fmt.Errorf("the result cannot be printed, but the report is in %s: %w", j.flags.out, printed)
	case printed != nil:
		return fmt.Errorf("the result cannot be printed: %w", printed)
	case len(res.NotReached) > 0:
		all := doc.Measured() + len(doc.Failed) + len(res.NotReached)
		fmt.Fprintf(a.stderr, "interrupted: %d of %d clips were measured\n", doc.Measured(), all)
		return errInterrupted
	case res.Pictures != nil:
		return res.Pictures
	case j.flags.gate && hasAlarm(doc):
		return errAlarm
	case len(doc.Failed) > 0:
		return errSomeFailed
	}
	return nil
}

// tellFailures lists clips that could not be measured, by reason. Those that are listed already are left out,
// and then the others are; nil for none.
func (a app) tellFailures(failed []report.Failure, listed map[report.Failure]bool) {
	var news []report.Failure
	for _, f := range failed {
		if listed[f] {
			continue
		}
		if news = append(news, f); listed != nil {
			listed[f] = true
		}
	}
	for _, g := range text.FailureGroups(news) {
		fmt.Fprint(a.stderr, text.Failure(g, text.Layout{}))
	}
}

func hasAlarm(doc report.Document) bool {
	return len(doc.Urgent()) > 0
}
