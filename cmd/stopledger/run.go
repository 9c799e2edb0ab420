package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"stopledger/decode/metadata"
)

// commands returns all the program can do.
func commands() verbs {
	return verbs{
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
		return &usageError{text: "name a command: " + strings.Join(commands().names(), ", ")}
	}
	switch args[0] {
	case "--version":
		_, err := fmt.Fprintln(a.stdout, "stopledger", a.version)
		return err
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
