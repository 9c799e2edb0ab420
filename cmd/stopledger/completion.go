package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/manual"
	"stopledger/curve"
)

const completionUsage = `Usage: stopledger completion SHELL

Prints the script that makes a shell complete commands, flags and files. SHELL is bash, zsh or fish.

Examples:
  stopledger completion bash > ~/.local/share/bash-completion/completions/stopledger
  stopledger completion zsh > ~/.zfunc/_stopledger
  stopledger completion fish > ~/.config/fish/completions/stopledger.fish
`

// completion prints a shell's script.
func (a app) completion(ctx context.Context, args []string) error {
	fs := pflag.NewFlagSet("completion", pflag.ContinueOnError)
	if err := parse("completion", completionUsage, fs, args); err != nil {
		return err
	}
	if fs.NArg() != 1 {
		return &usageError{verb: "completion", text: "name one shell: " + strings.Join(manual.Shells, ", ")}
	}
	script, ok := a.asked(ctx).Completion(fs.Arg(0))
	if !ok {
		return &usageError{verb: "completion",
			text: fmt.Sprintf("there is no completion for %q: name one of %s", fs.Arg(0), strings.Join(manual.Shells, ", "))}
	}
	_, err := io.WriteString(a.stdout, script)
	return err
}

// page prints a manual page: of a command or topic, or without a name that of the program.
func (a app) page(ctx context.Context, args []string) error {
	name := strings.Join(args, " ")
	page, ok := a.asked(ctx).Page(name)
	if !ok {
		_, err := commands().find(name, namesOf(manual.Topics())...)
		return err
	}
	_, err := io.WriteString(a.stdout, page)
	return err
}

// asked is all that the program can be asked for, as the help of each command tells it.
func (a app) asked(ctx context.Context) manual.Program {
	p := manual.Program{Name: "stopledger", Version: a.version, About: strings.TrimSpace(before(aboutText, "Usage:")),
		Exit: exitHelp, Topics: topics()}
	for _, v := range commands() {
		c := manual.Command{Name: v.name, Summary: v.summary}
		var h *helpWanted
		if err := v.run(a, ctx, []string{"--help"}); errors.As(err, &h) {
			c.Usage, c.Flags = h.usage, h.flags
		}
		switch v.name {
		case "curves":
			c.Words = curveWords()
		case "completion":
			c.Words = manual.Shells
		}
		p.Commands = append(p.Commands, c)
	}
	return p
}

// curveWords are the curves' names as they are typed.
func curveWords() (words []string) {
	for _, c := range curve.All() {
		words = append(words, strings.ToLower(strings.NewReplacer(" ", "", "-", "", ".", "").Replace(c.Name)))
	}
	return words
}

func before(s, mark string) string {
	head, _, _ := strings.Cut(s, mark)
	return head
}
