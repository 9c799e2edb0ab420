package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"stopledger/cmd/cluster"
	"stopledger/cmd/internal/rules"
	"stopledger/report/csv"
)

// topics are what help tells of beside the commands.
var topics = []string{"cluster", "csv", "man", "rules"}

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
	b.WriteString("\nstopledger help COMMAND tells more of one; stopledger help csv lists the columns of the CSV,\n" +
		"stopledger help rules shows what a file of rules can ask, stopledger help cluster how to audit on\n" +
		"several machines, stopledger help man COMMAND prints a manual page.\n\n")
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
