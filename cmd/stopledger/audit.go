package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/card"
	"stopledger/cmd/internal/terminal"
	"stopledger/report"
	"stopledger/report/csv"
	"stopledger/report/ledger"
	"stopledger/report/text"
)

const auditUsage = `Usage: stopledger audit [flags] PATH...

Measures clips, and the clips in folders and their subfolders, and prints a line of figures and
a verdict for each: where grey landed, the noise floor, the shadows four stops under grey after
the correction, headroom or what clipped, and the pull or lift. "!" after a path marks a clip
to check by eye, "*" one with a caution.

Examples:
  stopledger audit A001_C003.mov
  stopledger audit --curve slog3 --region 900,500,120,120 card.mov
  stopledger audit --hold-grey --out day12 /media/card
  stopledger audit --display look.cube --expects 1 --out day12 /media/card
  stopledger audit --format json --quiet day12/*.mov > day12.json
`

// audit measures clips one by one.
func (a app) audit(ctx context.Context, args []string) error {
	j, err := a.prepare("audit", auditUsage, args)
	if err != nil {
		return err
	}
	defer j.close()
	if len(j.paths) == 0 {
		return &usageError{verb: "audit", text: "name a clip or a folder"}
	}
	found, err := audit.Find(ctx, j.flags.clipTimeout, j.paths, j.flags.follow)
	if err != nil {
		return err
	}
	found, j.share = a.shareOf(found, j)
	con := terminal.New(a.stdout, a.stderr, len(found.Entries), j.flags.quiet)
	defer con.Close()
	lines := text.NewAudit(con, con.Layout, names(found.Entries))
	var printed error
	return a.auditFound(ctx, j, found, con, telling{
		clip: func(c report.Clip) {
			if j.flags.format == inText && printed == nil {
				printed = lines.Clip(&c)
			}
		},
		all: func(doc *report.Document) error {
			if printed != nil {
				return printed
			}
			return printDocument(con, lines, doc, j.flags.format)
		},
	})
}

// telling is what takes results to be printed.
type telling struct {
	clip    func(report.Clip)                   // in order, as they come
	all     func(*report.Document) error        // at the end
	measure func(audit.Measurer) audit.Measurer // of what is not kept; nil to leave it as it is
}

// auditFound measures clips that were found, and writes their report.
func (a app) auditFound(ctx context.Context, j job, found card.Listing, con *terminal.Console, t telling) error {
	measure, dismiss, err := a.measurer(ctx, j, found.Entries, con)
	if err != nil {
		return err
	}
	defer dismiss()
	if t.measure != nil {
		measure = t.measure(measure)
	}
	keeper, err := a.keeper(j, measure)
	if err != nil {
		return err
	}
	defer keeper.Ledger.Close()
	within, err := keeper.Begin(ctx)
	if err != nil {
		return err
	}
	if err := keeper.Plan(a.measuring(), found); err != nil {
		return err
	}
	res := a.measureAll(ctx, within, j,
		audit.Batch{Entries: found.Entries, Measure: keeper.Clip, Forget: true, Done: t.clip}, con)
	derived := keeper.Derived(a.measuring(), found, res)
	doc, err := derived.Document()
	if err != nil {
		return errors.Join(keeper.Trouble(), err)
	}
	return a.conclude(j, *doc, res, t.all(doc), func() error { return a.writeAudit(j, keeper, derived, doc) })
}

// shareOf returns what is to be measured in this run, of all that was found: a part where one is asked
// for.
func (a app) shareOf(found card.Listing, j job) (card.Listing, *audit.Share) {
	if j.flags.shard.N == 0 {
		return found, nil
	}
	own, share := j.flags.shard.Of(found, j.flags.settings.HoldGrey)
	if !j.flags.quiet {
		fmt.Fprintf(a.stderr, "shard %v: %d of %s\n", share, len(own.Entries), text.Plural(len(found.Entries), "clip"))
	}
	return own, share
}

// keeper opens the ledger of the report's folder, or one that is gone with the run.
func (a app) keeper(j job, measure audit.Measurer) (*audit.Keeper, error) {
	k := &audit.Keeper{Version: a.version, Settings: j.flags.settings, Folder: j.flags.out, Measure: measure,
		Timeout: j.flags.clipTimeout,
		Share:   j.share}
	var err error
	if j.folder == nil {
		k.Ledger, err = ledger.Temporary()
		return k, err
	}
	k.Ledger, err = j.folder.Ledger(j.flags.fresh)
	return k, folderError("audit", err)
}

// writeAudit writes the report into its folder, unless a fuller one lies there.
func (a app) writeAudit(j job, k *audit.Keeper, d *audit.Derived, doc *report.Document) error {
	switch {
	case j.folder == nil:
		return k.Trouble()
	case !doc.Complete && j.folder.Fuller(doc.Measured()):
		fmt.Fprintf(a.stderr, "the report in %s stays, as it is fuller; what was measured now is kept for the next run\n",
			j.flags.out)
		return k.Trouble()
	}
	doc, err := k.WriteAudit(d, doc)
	switch {
	case err != nil:
	case j.flags.zip:
		err = audit.WriteZip(j.flags.out, doc, nil)
	case j.verb == "audit" && !j.flags.quiet:
		a.tellOldZip(j.flags.out)
	}
	return cmp.Or(k.Trouble(), err)
}

func names(entries []card.Entry) []string {
	list := make([]string, len(entries))
	for i, e := range entries {
		list[i] = e.Name
	}
	return list
}

func printDocument(con *terminal.Console, lines *text.Audit, doc *report.Document, as format) error {
	switch as {
	case inJSON:
		return report.WriteJSON(con, doc)
	case inCSV:
		return csv.WriteAudit(con, doc)
	}
	return lines.Summary(doc)
}
