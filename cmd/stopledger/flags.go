package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/spelling"
	"stopledger/report/text"
)

// A helpWanted is what --help asks for: it ends a verb as an error does.
type helpWanted struct {
	usage string
	flags *pflag.FlagSet
}

func (h *helpWanted) Error() string { return h.usage + flagHelp(h.flags) + "\n" + exitHelp }

// parse reads a verb's arguments into its flags. --help is a *helpWanted; a mistake is a usageError.
func parse(verb, usage string, fs *pflag.FlagSet, args []string) error {
	fs.SortFlags = false
	fs.SetOutput(io.Discard)
	fs.Usage = func() {}
	err := fs.Parse(args)
	switch {
	case err == nil:
		return nil
	case errors.Is(err, pflag.ErrHelp):
		return &helpWanted{usage, fs}
	}
	return &usageError{verb: verb, text: flagMistake(fs, err), err: err}
}

// flagHelp lists flags in the order in which they were added. The usage of a flag that takes a
// value starts with that value's name, quoted, and a colon.
func flagHelp(fs *pflag.FlagSet) string {
	if !fs.HasFlags() {
		return ""
	}
	const width, indent = 98, 22
	var b strings.Builder
	b.WriteString("\nFlags:\n")
	fs.VisitAll(func(f *pflag.Flag) {
		value, usage := pflag.UnquoteUsage(f)
		if f.Value.Type() == "bool" {
			value = ""
		}
		head := fmt.Sprintf("  %-*s", indent-2, strings.TrimSpace("--"+f.Name+" "+value))
		wrapped := text.Wrap(strings.TrimPrefix(usage, value+": "), strings.Repeat(" ", indent), width)
		b.WriteString(head + wrapped[indent:])
	})
	return b.String()
}

// A valueError says what is wrong with the value of a flag, whose name is told before it.
type valueError string

func (e valueError) Error() string { return string(e) }

// cannotBe is the error for a value that a flag does not take; value is written as it is to be
// shown.
func cannotBe(value, takes string) error {
	return valueError(fmt.Sprintf(" cannot be %s: it takes %s", value, takes))
}

// flagMistake words what is wrong with flags, with the nearest flag that exists.
func flagMistake(fs *pflag.FlagSet, err error) string {
	var unknown *pflag.NotExistError
	var value *pflag.InvalidValueError
	var ours valueError
	switch {
	case errors.As(err, &unknown) && unknown.GetSpecifiedShortnames() != "":
		return fmt.Sprintf("there is no flag -%s; flags have two dashes", unknown.GetSpecifiedShortnames())
	case errors.As(err, &unknown):
		words := "there is no flag --" + unknown.GetSpecifiedName()
		var names []string
		fs.VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		if near := spelling.Nearest(unknown.GetSpecifiedName(), append(names, "help")); near != "" {
			words += "; did you mean --" + near + "?"
		}
		return words
	case errors.As(err, &value) && errors.As(err, &ours):
		return "--" + value.GetFlag().Name + ours.Error()
	case errors.As(err, &value):
		return fmt.Sprintf("--%s cannot be %q: it takes %s", value.GetFlag().Name, value.GetValue(), wanted(value.GetFlag()))
	}
	return err.Error()
}

// wanted says what kind of value a flag takes.
func wanted(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "int":
		return "a whole number"
	case "float64":
		return "a number"
	case "bool":
		return "true or false"
	}
	return "a " + f.Value.Type()
}
