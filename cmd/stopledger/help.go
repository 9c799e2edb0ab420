package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"stopledger/cmd/cluster"
	"stopledger/cmd/internal/rules"
	"stopledger/report/csv"
	"stopledger/report/schema"
)

// topics are what help tells of beside the commands.
var topics = []string{"cluster", "csv", "json", "man", "rules", "schema"}

const aboutText = `stopledger audits the exposure of log footage: where 18 % grey landed, how noisy the shadows
are and will be after the grade, what clipped, and how far to pull or lift before the display
transform. It works offline and changes no clip.

Usage: stopledger COMMAND [flags] [arguments]

Commands:
`

// help prints what the program does, or the help of one command, or a topic.
func (a app) help(ctx context.Context, all verbs, args []string) error {
	if len(args) == 0 {
		return writeAbout(a.stdout, all)
	}
	switch args[0] {
	case "csv":
		return writeCSVHelp(a.stdout)
	case "cluster":
		_, err := io.WriteString(a.stdout, cluster.Help+cluster.Slurm)
		return err
	case "json":
		_, err := io.WriteString(a.stdout, jsonHelp)
		return err
	case "schema":
		return a.schema(args[1:])
	case "man":
		return a.page(ctx, args[1:])
	case "rules":
		_, err := io.WriteString(a.stdout, rulesHelp+rules.Example)
		return err
	}
	v, err := all.find(args[0])
	if err != nil {
		return err
	}
	return v.run(a, ctx, []string{"--help"})
}

func writeAbout(w io.Writer, all verbs) error {
	var b strings.Builder
	b.WriteString(aboutText)
	for _, v := range all {
		fmt.Fprintf(&b, "  %-10s %s\n", v.name, v.summary)
	}
	b.WriteString("\nstopledger help COMMAND tells more of one. Topics: help csv lists the columns of the CSV, help\n" +
		"json what the documents share, help schema VERB prints a document's JSON Schema, help rules shows\n" +
		"what a file of rules can ask, help cluster how to audit on several machines, help man COMMAND\n" +
		"prints a manual page.\n\n")
	b.WriteString(exitHelp)
	_, err := io.WriteString(w, b.String())
	return err
}

// rulesHelp stands before the example.
const rulesHelp = `stopledger audit --rules FILE judges clips by a show's rules, with --gate for scripts: exit code 4
where one is broken. A figure breaks a rule where the whole of its 95 % interval lies beyond the
limit; where the limit lies within the interval, or the clip does not tell, that is a note,
rule-unsure, which [levels] can make an alarm. Without an intended offset the tolerance is from the
target. --intended and --target go before what the rules say of them.

A folder matches where the end of its path does, or that of a folder above it: day2/night* holds
for /shoot/day2/night-a and all below it; with / at its start a pattern is matched from the top.
Ids of findings are in the JSON and the CSV. A file of rules, in TOML:

`

// jsonHelp tells what all documents have in common.
const jsonHelp = `With --format json one document goes to stdout and nothing else does; --out writes it as a file
too. Each names its schema in its first field: stopledger/audit/2, stopledger/compare/1,
stopledger/match/1, stopledger/adjust/1, stopledger/profile/1, stopledger/plan/1, stopledger/ledger/1.
Fields may be added to a schema; none is renamed or removed. Schema 1 of an audit is read as well.

What was not measured is null, never 0. Shares are 0 to 1 of the frame. Stops are over nominal grey
(placement), from it (recorded_stops) or from the subject's grey (scene_stops); codes are on the 10-bit
scale whatever the file's depth; percent is the video level that zebras show. low and high are the ends
of a 95 % interval. A clip that could not be measured stands under failed, one that was not tried under
skipped, one that an interruption left under not_reached; complete is false then.

stopledger help schema prints the JSON Schema of an audit, stopledger help schema VERB that of another
verb's document.

Example:
  stopledger audit --quiet --format json A001_C003.mov > A001_C003.json
`

// schema prints the JSON Schema of a verb's document.
func (a app) schema(args []string) error {
	verb := "audit"
	if len(args) > 0 {
		verb = strings.Join(args, " ")
	}
	text, ok := schema.Of(verb)
	if !ok {
		return &usageError{text: fmt.Sprintf("there is no schema of %q: name one of %s", verb,
			strings.Join(schema.Verbs(), ", "))}
	}
	_, err := a.stdout.Write(text)
	return err
}

func writeCSVHelp(w io.Writer) error {
	var b strings.Builder
	b.WriteString("The CSV of an audit has one row a clip, numbers with a point and without a unit, and an\n" +
		"empty cell for what was not measured. Its columns:\n\n")
	for _, c := range csv.Columns {
		fmt.Fprintf(&b, "  %-24s %s\n", c.Head, c.Doc)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
