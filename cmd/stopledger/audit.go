package main

import (
	"context"

	"stopledger/report"
)

const auditUsage = `Usage: stopledger audit [flags] PATH...

Measures clips, and the clips in folders and their subfolders, and prints a line of figures and
a verdict for each: where grey landed, the noise floor, the shadows four stops under grey after
the correction, headroom or what clipped, and the pull or lift. "!" marks a clip that a person
should look at, "*" one with a caution.

Examples:
  stopledger audit A001_C003.mov
  stopledger audit --curve slog3 --region 900,500,120,120 card.mov
  stopledger audit --hold-grey --out day12 /media/card
  stopledger audit --format json --quiet day12/*.mov > day12.json
`

// audit measures clips one by one.
func (a app) audit(ctx context.Context, args []string) error {
	job, err := a.prepare("audit", auditUsage, args)
	if err != nil {
		return err
	}
	if len(job.paths) == 0 {
		return &usageError{verb: "audit", text: "name a clip or a folder"}
	}
	entries := findClips(job.paths)
	con := newConsole(a.stdout, a.stderr, len(entries), job.flags.quiet)
	defer con.close()
	text := report.NewText(con, con.layout, clipNames(entries))
	var printed error
	done := func(c report.Clip) {
		if job.flags.format == "text" && printed == nil {
			printed = text.Clip(c)
		}
	}
	doc, res := a.measureAll(ctx, job, entries, con, done)
	if printed == nil {
		printed = printDocument(con, text, doc, job.flags.format)
	}
	return a.conclude(job, doc, res, printed, func() error { return writeAudit(job.flags.out, &doc) })
}

func printDocument(con *console, text *report.Text, doc report.Document, format string) error {
	switch format {
	case "json":
		return report.WriteJSON(con, doc)
	case "csv":
		return report.WriteCSV(con, doc)
	}
	return text.Summary(doc)
}
