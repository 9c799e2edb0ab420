package main

import (
	"context"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/card"
	"stopledger/report"
	"stopledger/report/csv"
	"stopledger/report/text"
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
	j, err := a.prepare("audit", auditUsage, args)
	if err != nil {
		return err
	}
	if len(j.paths) == 0 {
		return &usageError{verb: "audit", text: "name a clip or a folder"}
	}
	found, err := card.Find(ctx, j.paths, j.flags.follow)
	if err != nil {
		return err
	}
	con := newConsole(a.stdout, a.stderr, len(found.Entries), j.flags.quiet)
	defer con.close()
	lines := text.NewAudit(con, con.layout, names(found.Entries))
	var printed error
	done := func(c report.Clip) {
		if j.flags.format == inText && printed == nil {
			printed = lines.Clip(&c)
		}
	}
	doc, res := a.measureAll(ctx, j, found, con, done)
	if printed == nil {
		printed = printDocument(con, lines, &doc, j.flags.format)
	}
	return a.conclude(j, doc, res, printed, func() error { return audit.WriteAudit(j.flags.out, &doc) })
}

func names(entries []card.Entry) []string {
	list := make([]string, len(entries))
	for i, e := range entries {
		list[i] = e.Name
	}
	return list
}

func printDocument(con *console, lines *text.Audit, doc *report.Document, as format) error {
	switch as {
	case inJSON:
		return report.WriteJSON(con, doc)
	case inCSV:
		return csv.WriteAudit(con, doc)
	}
	return lines.Summary(doc)
}
