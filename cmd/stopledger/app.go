package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/audit"
	"stopledger/decode/metadata"
)

// version is what --version and every document say; a release sets it with
// -ldflags "-X main.version=1.2".
var version = "0.1-dev"

// An app is the program with everything it touches.
type app struct {
	measure        audit.Measurer
	version        string
	stdout, stderr io.Writer
}

// A verb is one command.
type verb struct {
	name    string
	summary string // one line
	run     func(a app, ctx context.Context, args []string) error
}

// verbs returns the commands in the order in which help shows them.
func verbs() []verb {
	return []verb{
		{"audit", "measure clips or folders of clips, a line each", app.audit},
		{"compare", "set takes side by side", app.compare},
		{"curves", "list the curves, or print one as stops, codes and percents", app.curves},
		{"demo", "make invented clips and audit them", app.demo},
		{"show", "write the pages of an audit's folder anew", app.show},
	}
}

// run dispatches to a verb and returns the exit code.
func (a app) run(ctx context.Context, args []string) int {
	err := a.dispatch(ctx, args)
	if errors.Is(err, pflag.ErrHelp) {
		err = nil
	}
	if err != nil && !isToldAlready(err) {
		fmt.Fprintln(a.stderr, oneLine(err))
	}
	return exitCode(err)
}

func (a app) dispatch(ctx context.Context, args []string) error {
	if len(args) == 0 {
		return &usageError{text: "name a command: " + strings.Join(verbNames(), ", ")}
	}
	switch args[0] {
	case "--version":
		_, err := fmt.Fprintln(a.stdout, "stopledger", a.version)
		return err
	case "help", "--help", "-h":
		return a.help(ctx, args[1:])
	}
	v, err := findVerb(args[0])
	if err != nil {
		return err
	}
	return v.run(a, ctx, args[1:])
}

func verbNames() []string {
	var names []string
	for _, v := range verbs() {
		names = append(names, v.name)
	}
	return names
}

func findVerb(name string) (verb, error) {
	for _, v := range verbs() {
		if v.name == name {
			return v, nil
		}
	}
	kind := "command"
	if strings.HasPrefix(name, "-") {
		kind = "flag"
	}
	words := fmt.Sprintf("there is no %s %s", kind, metadata.Printable(name))
	if near := nearest(name, append(verbNames(), "help", "--version", "--help")); near != "" {
		words += "; did you mean " + near + "?"
	}
	return verb{}, &usageError{text: words}
}

// oneLine makes an error one printable line.
func oneLine(err error) string {
	return metadata.Printable(strings.Join(strings.Fields(err.Error()), " "))
}
