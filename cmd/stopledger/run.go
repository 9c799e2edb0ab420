package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"stopledger/cmd/internal/spelling"
	"stopledger/decode/metadata"
)

// A verb is one command.
type verb struct {
	name    string
	summary string // one line
	run     func(a app, ctx context.Context, args []string) error
}

// verbs are commands in the order in which help shows them.
type verbs []verb

func (all verbs) names() []string {
	var names []string
	for _, v := range all {
		names = append(names, v.name)
	}
	return names
}

// find returns the verb of a name; the error for a name that is none offers the nearest, of these and of
// more names.
func (all verbs) find(name string, more ...string) (verb, error) {
	if i := slices.Index(all.names(), name); i >= 0 {
		return all[i], nil
	}
	kind := "command"
	if strings.HasPrefix(name, "-") {
		kind = "flag"
	}
	words := fmt.Sprintf("there is no %s %s", kind, metadata.Printable(name))
	if near := spelling.Nearest(name, append(append(all.names(), "help", "--version", "--help"), more...)); near != "" {
		words += "; did you mean " + near + "?"
	}
	return verb{}, &usageError{text: words}
}

// commands returns all the program can do.
func commands() verbs {
	return verbs{
		{"adjust", "write corrections as files that grading programs read", app.adjust},
		{"audit", "measure clips or folders of clips, a line each", app.audit},
		{"compare", "set takes side by side", app.compare},
		{"completion", "print a shell's script that completes commands and flags", app.completion},
		{"curves", "list the curves, or print one as stops, codes and percents", app.curves},
		{"demo", "make invented clips and audit them", app.demo},
		{"ledger", "placement, noise and clipping by day, over many audits", app.ledger},
		{"match", "tell the exposure that brings clips to one clip", app.match},
		{"merge", "make one report of several audits, or of a run in parts", app.merge},
		{"plan", "placements, ISOs and zebras for a scene, before the shoot", app.plan},
		{"profile", "what test takes say of a camera, by ISO", app.profile},
		{"show", "write the pages of an audit's folder anew", app.show},
		{"watch", "audit clips as they arrive in a folder", app.watch},
		{"version", "print the versions of program, FFmpeg and curves", app.tellVersion},
	}
}

// run dispatches to a verb and returns the exit code.
func (a app) run(ctx context.Context, args []string) int {
	err := a.dispatch(ctx, args)
	var h *helpWanted
	if errors.As(err, &h) {
		_, err = io.WriteString(a.stdout, h.text(a.width()))
	}
	if err != nil && !isToldAlready(err) {
		fmt.Fprintln(a.stderr, oneLine(err))
	}
	return exitCode(err)
}

func (a app) dispatch(ctx context.Context, args []string) error {
	if len(args) == 0 {
		return &usageError{text: "name a command: " + strings.Join(commands().names(), ", ")}
	}
	switch args[0] {
	case "--version":
		return a.tellVersion(ctx, args[1:])
	case "help", "--help", "-h":
		return a.help(ctx, commands(), args[1:])
	}
	v, err := commands().find(args[0])
	if err != nil {
		return err
	}
	return v.run(a, ctx, args[1:])
}

// oneLine makes an error one printable line.
func oneLine(err error) string {
	return metadata.Printable(strings.Join(strings.Fields(err.Error()), " "))
}
