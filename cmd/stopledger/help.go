package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"stopledger/cmd/cluster"
	"stopledger/cmd/internal/manual"
	"stopledger/cmd/internal/rules"
	"stopledger/cmd/internal/terminal"
	"stopledger/report/csv"
	"stopledger/report/schema"
	"stopledger/report/text"
)

const aboutText = `stopledger audits the exposure of log footage: where 18 % grey landed, how noisy the shadows
are and will be after the grade, what clipped, and how far to pull or lift before the display
transform. It works offline and changes no clip.

Usage: stopledger COMMAND [flags] [arguments]

Commands:
`

// topics are what help tells of beside the commands: those that have a page, and two that print what
// they are asked for.
func topics() []manual.Topic {
	list := manual.Topics()
	listings := map[string]string{"cluster": cluster.Slurm, "rules": rules.Example, "csv": columns()}
	for i, t := range list {
		list[i].Listing = listings[t.Name]
	}
	return append(list,
		manual.Topic{Name: "schema", Summary: "the JSON Schema of a verb's document: help schema VERB"},
		manual.Topic{Name: "man", Summary: "the manual page of a command or topic: help man NAME"})
}

func namesOf(list []manual.Topic) (names []string) {
	for _, t := range list {
		names = append(names, t.Name)
	}
	return names
}

// help prints what the program does, or the help of one command, or a topic.
func (a app) help(ctx context.Context, all verbs, args []string) error {
	if len(args) == 0 {
		return a.about(all)
	}
	for _, t := range topics() {
		if t.Name == args[0] {
			return a.topic(ctx, t, args[1:])
		}
	}
	v, err := all.find(args[0], namesOf(topics())...)
	if err != nil {
		return err
	}
	return v.run(a, ctx, []string{"--help"})
}

func (a app) topic(ctx context.Context, t manual.Topic, args []string) error {
	switch t.Name {
	case "schema":
		return a.schema(args)
	case "man":
		return a.page(ctx, args)
	}
	return a.tell(t.Text, strings.TrimPrefix(t.Page(), t.Text))
}

// width is that of what help prints: of the terminal, or what COLUMNS says.
func (a app) width() int {
	if width := terminal.Width(a.stdout); width > 0 {
		return min(width, helpColumns)
	}
	return helpColumns
}

// tell prints a text in lines as wide as the terminal, and after it what has lines of its own.
func (a app) tell(words, verbatim string) error {
	_, err := io.WriteString(a.stdout, text.Reflow(words, a.width())+verbatim)
	return err
}

func (a app) about(all verbs) error {
	var b strings.Builder
	b.WriteString(aboutText)
	for _, v := range all {
		fmt.Fprintf(&b, "  %-10s %s\n", v.name, v.summary)
	}
	b.WriteString("\nTopics:\n")
	for _, t := range topics() {
		fmt.Fprintf(&b, "  %-10s %s\n", t.Name, t.Summary)
	}
	b.WriteString("\nstopledger help COMMAND tells more of a command, stopledger help TOPIC of a topic.\n\n" + exitHelp)
	return a.tell(b.String(), "")
}

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

// columns lists those of the CSV.
func columns() string {
	var b strings.Builder
	for _, c := range csv.Columns {
		fmt.Fprintf(&b, "  %-24s %s\n", c.Head, c.Doc)
	}
	return b.String()
}
