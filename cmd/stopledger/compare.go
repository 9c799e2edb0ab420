package main

import (
	"context"

	"stopledger/report"
)

const compareUsage = `Usage: stopledger compare [flags] CLIP CLIP...

Sets two or more takes side by side, each against the first: grey, the noise at the same tones
of the scene, floor, ceiling, headroom and what clipped, with 95 % intervals. "~" stands for a
difference that cannot be told from none. Ends with which take to use and why.

Examples:
  stopledger compare --curve slog3 nominal.mov over.mov
  stopledger compare --region 900,500,120,120 --out iso-test iso800.mov iso3200.mov
`

// compare measures takes and sets them side by side.
func (a app) compare(ctx context.Context, args []string) error {
	job, err := a.prepare("compare", compareUsage, args)
	if err != nil {
		return err
	}
	job.samePlace = true
	if len(job.paths) == 0 {
		return &usageError{verb: "compare", text: "name two clips or more"}
	}
	entries := findClips(job.paths)
	if len(entries) < 2 {
		return &usageError{verb: "compare", text: "it takes two different clips or more"}
	}
	con := newConsole(a.stdout, a.stderr, len(entries), job.flags.quiet)
	defer con.close()
	doc, res := a.measureAll(ctx, job, entries, con, nil)
	comparison := report.Compare(doc)
	printed := printComparison(con, comparison, job.flags.format)
	return a.conclude(job, doc, res, printed, func() error { return writeComparison(job.flags.out, &doc) })
}

func printComparison(con *console, c report.Comparison, format string) error {
	switch format {
	case "json":
		return report.WriteComparisonJSON(con, c)
	case "csv":
		return report.WriteComparisonCSV(con, c)
	}
	return report.WriteComparisonText(con, c, con.layout)
}
