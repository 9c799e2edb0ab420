package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/card"
	"stopledger/cmd/internal/runlog"
	"stopledger/cmd/internal/terminal"
	"stopledger/cmd/internal/watch"
	"stopledger/report"
	"stopledger/report/text"
)

const watchUsage = `Usage: stopledger watch [flags] --out REPORT DIR

Audits clips as they arrive in a folder and those below, and keeps the report in REPORT current. A
clip is measured once its files have not changed for 10 seconds; one that still grows waits. What
was measured is kept, so that a watch begun again goes on where it was. Only new lines are printed;
with --format json or csv, one document at the end. A clip that is taken away leaves the report;
where no clip is left at all, as of a card that was taken out, the report stays.

On file systems that do not tell of changes, as over a network, it looks every 5 seconds, and says
so. ^C ends it; the exit code is then 0, or 3 where a clip could not be measured, or 4 with --gate
and an alarm.

Example:
  stopledger watch --out day12 /media/card
`

// watch audits the clips of a folder whenever some have come to rest, until it is interrupted.
func (a app) watch(ctx context.Context, args []string) error {
	j, err := a.prepare("watch", watchUsage, args)
	if err != nil {
		return err
	}
	defer j.close()
	switch {
	case len(j.paths) != 1:
		return &usageError{verb: "watch", text: "name one folder to watch"}
	case j.folder == nil:
		return &usageError{verb: "watch", text: "--out is missing: name a folder for the report"}
	}
	dir := j.paths[0]
	if info, err := os.Stat(dir); err != nil {
		return &usageError{verb: "watch", text: folderTrouble(err), err: err}
	} else if !info.IsDir() {
		return &usageError{verb: "watch", text: dir + " is a file: name a folder"}
	}
	j.listed = map[report.Failure]bool{}
	r := &rounds{app: a, job: j, con: terminal.New(a.stdout, a.stderr, 0, true)}
	defer r.con.Close()
	r.note("watching " + dir + "; interrupt to end")
	w := watch.Watcher{Dir: dir, Follow: j.flags.follow, Settle: a.settle, Timeout: j.flags.clipTimeout,
		Say: func(s string) { r.con.Note("note: " + s) }}
	err = w.Each(ctx, func(found card.Listing) error { return r.round(ctx, found) })
	if err != nil {
		return err
	}
	return r.end()
}

// rounds are the audits of a watch, one after another.
type rounds struct {
	app
	job
	con   *terminal.Console
	lines *text.Audit
	isNew sync.Map         // paths in documents, of clips measured now
	last  *report.Document // of the last round; nil without one
	ended error            // how that ended
	begun bool
}

// round audits what lies in the folder at rest. The error is one that ends the watch.
func (r *rounds) round(ctx context.Context, found card.Listing) error {
	*r.con = *terminal.New(r.stdout, r.stderr, len(found.Entries), r.flags.quiet)
	if r.lines == nil {
		r.lines = text.NewAudit(r.con, r.con.Layout, names(found.Entries))
	}
	if r.begun {
		var err error
		if r.log, err = runlog.Open(r.flags.out); err != nil {
			return err
		}
		r.flags.fresh = false
	}
	r.begun = true
	var printed error
	r.ended = r.auditFound(ctx, r.job, found, r.con, telling{
		clip: func(c report.Clip) {
			if r.flags.format == inText && printed == nil && r.isMeasured(&c) {
				printed = r.lines.Clip(&c)
			}
		},
		all:     func(doc *report.Document) error { r.last = doc; return printed },
		measure: r.noteNew,
	})
	var pictures *audit.PictureError
	switch {
	case errors.As(r.ended, &pictures):
		r.con.Note(oneLine(r.ended))
	case exitCode(r.ended) == exitBroken || exitCode(r.ended) == exitUsage:
		return r.ended
	}
	if ctx.Err() == nil {
		r.note(fmt.Sprintf("%s: %s", r.flags.out, text.Summary(r.last)))
	}
	return nil
}

// noteNew notes which clips are measured and not taken from the ledger.
func (r *rounds) noteNew(measure audit.Measurer) audit.Measurer {
	r.isNew.Clear()
	return func(ctx context.Context, j audit.Job) (report.Clip, error) {
		clip, err := measure(ctx, j)
		if j.Kept == nil {
			r.isNew.Store(clip.Path, true)
		}
		return clip, err
	}
}

func (r *rounds) isMeasured(c *report.Clip) bool {
	_, ok := r.isNew.Load(c.Path)
	return ok
}

func (r *rounds) note(line string) {
	if !r.flags.quiet {
		r.con.Note(line)
	}
}

// end prints what is printed once, and says how the last round ended.
func (r *rounds) end() error {
	if err := r.print(); err != nil {
		return fmt.Errorf("the result cannot be printed, but the report is in %s: %w", r.flags.out, err)
	}
	doc := r.last
	switch {
	case !errors.Is(r.ended, errInterrupted):
		return r.ended
	case doc != nil && r.flags.gate && hasAlarm(*doc):
		return errAlarm
	case doc != nil && len(doc.Failed) > 0:
		return errSomeFailed
	}
	return nil
}

// print prints the report for programs: what its folder has, or an empty one before the first clip.
func (r *rounds) print() error {
	name, ok := map[format]string{inJSON: report.AuditDocument, inCSV: report.AuditTable}[r.flags.format]
	if !ok {
		return nil
	}
	f, err := os.Open(filepath.Join(r.flags.out, name))
	if errors.Is(err, fs.ErrNotExist) {
		return printDocument(r.con, nil, &report.Document{Schema: report.Schema, Tool: r.tool(),
			Settings: r.flags.settings, Clips: []report.Clip{}, Failed: []report.Failure{}, Complete: true}, r.flags.format)
	}
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = io.Copy(r.con, f)
	return err
}

// folderTrouble says why a folder that was named cannot be read, without the name of the system's call.
func folderTrouble(err error) string {
	var at *fs.PathError
	switch {
	case !errors.As(err, &at):
		return err.Error()
	case errors.Is(err, fs.ErrNotExist):
		return at.Path + ": there is no such folder"
	}
	return at.Path + " cannot be read: " + at.Err.Error()
}
