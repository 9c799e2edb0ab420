package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/spelling"
	"stopledger/report/text"
)

// helpColumns is the width of help where nothing says how wide the output is.
const helpColumns = 98

// A helpWanted is what --help asks for: it ends a verb as an error does.
type helpWanted struct {
	usage string
	flags *pflag.FlagSet
}

func (h *helpWanted) Error() string { return h.text(helpColumns) }

// text is the help in lines of at most width columns.
func (h *helpWanted) text(width int) string {
	return text.Reflow(h.usage, width) + flagHelp(h.flags, width) + "\nExit codes: stopledger help lists them.\n"
}

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

// A flagGroup is a heading of the help and the flags under it.
type flagGroup struct {
	title string
	flags []string
}

// flagGroups are in the order of the help; a flag of no other group is the verb's own.
var flagGroups = []flagGroup{
	{"Flags", nil},
	{"How the recording is read", []string{"curve", "assume", "ei", "range", "matrix"}},
	{"Where grey is taken from", []string{"region", "reflectance", "grey", "subject", "edition", "hold-grey"}},
	{"What is wanted", []string{"target", "intended", "rules", "profile", "display", "domain", "expects", "lift"}},
	{"How it is measured", []string{"every-frame", "follow", "jobs", "clip-timeout", "shard", "fresh"}},
	{"What is written", []string{"out", "zip", "no-pictures", "format", "gate", "quiet"}},
}

// groupOf returns the place of a flag's group.
func groupOf(name string) int {
	return max(0, slices.IndexFunc(flagGroups, func(g flagGroup) bool { return slices.Contains(g.flags, name) }))
}

// flagHelp lists flags in groups, in each in the order in which they were added. A few have no headings.
func flagHelp(fs *pflag.FlagSet, width int) string {
	const few = 8
	lists := make([]string, len(flagGroups))
	n := 0
	fs.VisitAll(func(*pflag.Flag) { n++ })
	fs.VisitAll(func(f *pflag.Flag) {
		group := 0
		if n > few {
			group = groupOf(f.Name)
		}
		lists[group] += flagLines(f, width)
	})
	var b strings.Builder
	for i, list := range lists {
		if list != "" {
			b.WriteString("\n" + flagGroups[i].title + ":\n" + list)
		}
	}
	return b.String()
}

// flagLines tell of one flag. The usage of a flag that takes a value starts with that value's name, quoted,
// and a colon.
func flagLines(f *pflag.Flag, width int) string {
	const indent = 22
	value, usage := pflag.UnquoteUsage(f)
	if f.Value.Type() == "bool" {
		value = ""
	}
	head := fmt.Sprintf("  %-*s", indent-2, strings.TrimSpace("--"+f.Name+" "+value))
	wrapped := text.Wrap(strings.TrimPrefix(usage, value+": "), strings.Repeat(" ", indent), width)
	return head + wrapped[indent:]
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
