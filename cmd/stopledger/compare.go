package main

import (
	"context"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/matching"
	"stopledger/cmd/internal/terminal"
	"stopledger/report"
	"stopledger/report/csv"
	"stopledger/report/text"
)

const compareUsage = `Usage: stopledger compare [flags] CLIP CLIP...

Sets two or more takes side by side, each against the first: grey, the noise at the same tones
of the scene, floor, ceiling, headroom and what clipped, with 95 % intervals. "none" stands for
no measurable difference. Ends with which take to use and why.

Examples:
  stopledger compare --curve slog3 nominal.mov over.mov
  stopledger compare --region 900,500,120,120 --out iso-test iso800.mov iso3200.mov
`

// compare measures takes and sets them side by side.
func (a app) compare(ctx context.Context, args []string) error {
	j, err := a.prepare("compare", compareUsage, args)
	if err != nil {
		return err
	}
	defer j.close()
	if len(j.paths) == 0 {
		return &usageError{verb: "compare", text: "name two clips or more"}
	}
	found, err := audit.Find(ctx, j.flags.clipTimeout, j.paths, j.flags.follow)
	if err != nil {
		return err
	}
	if len(found.Entries) < 2 {
		return &usageError{verb: "compare", text: "it takes two different clips or more"}
	}
	con := terminal.New(a.stdout, a.stderr, len(found.Entries), j.flags.quiet)
	defer con.Close()
	measure, dismiss, err := a.measurer(ctx, j, found.Entries, con)
	if err != nil {
		return err
	}
	defer dismiss()
	var views matching.Views
	res := a.measureAll(ctx, ctx, j, audit.Batch{Entries: found.Entries, Measure: measure, SamePlace: true,
		View: views.Take}, con)
	doc := report.Document{Schema: report.Schema, Tool: a.measuring(), Settings: j.flags.settings, Clips: res.Clips,
		Failed: res.Failed, Complete: len(res.NotReached) == 0, NotReached: res.NotReached, Skipped: found.Skipped}
	takes := audit.Compare(doc, views.Strangers(res))
	printed := printAs(con, j.flags.format, &takes, report.WriteComparisonJSON, csv.WriteComparison,
		text.WriteComparison)
	return a.conclude(j, doc, res, printed, func() error {
		if j.folder == nil {
			return nil
		}
		return audit.WriteComparison(j.flags.out, &doc, &takes)
	})
}
