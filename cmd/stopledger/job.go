package main

import (
	"context"
	"fmt"
	"slices"

	"github.com/spf13/pflag"

	"stopledger/analyze"
	"stopledger/report"
)

// A job is what audit or compare was asked to do.
type job struct {
	flags     measureFlags
	settings  auditSettings
	paths     []string
	samePlace bool // enlarge the same area in all clips
}

// prepare reads and checks the arguments of a verb.
func (a app) prepare(verb, usage string, args []string) (job, error) {
	var j job
	fs := pflag.NewFlagSet(verb, pflag.ContinueOnError)
	j.flags.add(fs)
	if err := parse(verb, usage, fs, args, a.stdout); err != nil {
		return job{}, err
	}
	j.paths = fs.Args()
	if slices.Contains(j.paths, "") { // from a variable that is not set, perhaps
		return job{}, &usageError{verb: verb, text: "one of the names is empty: name clips or folders"}
	}
	var err error
	if j.settings, err = j.flags.settings(); err != nil {
		return job{}, &usageError{verb: verb, text: err.Error(), err: err}
	}
	if fs.Changed("out") {
		if err := prepareFolder(j.flags.out, verb); err != nil {
			return job{}, &usageError{verb: verb, text: err.Error(), err: err}
		}
		outliveReader()
	}
	return j, nil
}

// measureAll measures the entries and takes the progress away when it is through.
func (a app) measureAll(ctx context.Context, j job, entries []entry, con *console, done func(report.Clip)) (report.Document, results) {
	noted := make(chan struct{})
	stop := context.AfterFunc(ctx, func() {
		defer close(noted)
		con.note("interrupted: clips in hand are left, finished ones are reported; interrupt again to quit at once")
	})
	b := batch{
		entries: entries, settings: j.settings, holdGrey: j.flags.holdGrey, jobs: j.flags.jobs,
		measure: a.measure, done: done, progress: con.progress, samePlace: j.samePlace,
	}
	if j.settings.Pictures {
		b.pictures = func(c *report.Clip, s *analyze.Stills) error { return report.WritePictures(j.flags.out, c, s) }
	}
	res := b.run(ctx)
	if !stop() {
		<-noted
	}
	con.close()
	return report.Document{
		Schema:   report.Schema,
		Tool:     report.Tool{Name: "stopledger", Version: a.version},
		Settings: j.flags.written(j.settings),
		Clips:    res.clips,
		Failed:   res.failed,
	}, res
}

// conclude writes the report's folder, lists the failures and returns how the verb ended.
func (a app) conclude(j job, doc report.Document, res results, printed error, write func() error) error {
	for _, f := range doc.Failed {
		fmt.Fprintf(a.stderr, "not measured: %s: %s\n", report.Printable(f.Path), report.Printable(f.Error))
	}
	if j.flags.out != "" {
		if err := write(); err != nil {
			return err
		}
	}
	switch {
	case printed != nil && j.flags.out != "":
		return fmt.Errorf("the result cannot be printed, but the report is in %s: %w", j.flags.out, printed)
	case printed != nil:
		return fmt.Errorf("the result cannot be printed: %w", printed)
	}
	if res.undone > 0 {
		fmt.Fprintf(a.stderr, "interrupted: %d of %d clips were measured\n", len(doc.Clips), len(doc.Clips)+len(doc.Failed)+res.undone)
		return errInterrupted
	}
	switch {
	case res.pictures != nil:
		return res.pictures
	case len(doc.Failed) > 0:
		return errSomeFailed
	case j.flags.gate && hasAlarm(doc):
		return errAlarm
	}
	return nil
}

func hasAlarm(doc report.Document) bool {
	for _, c := range doc.Clips {
		if report.NeedsPerson(c) {
			return true
		}
	}
	return false
}

func clipNames(entries []entry) []string {
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = e.name
	}
	return names
}
