package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/curvetable"
	"stopledger/curve"
	"stopledger/decode/metadata"
)

const curvesUsage = `Usage: stopledger curves [flags] [NAME]

Without a name, lists the curves: code and percent of 18 % grey and of the curve's ceiling, and
the stops between them. With one, prints a ladder of stops from -8 to the ceiling. NAME is
written without case, spaces, dots and dashes, or is a file that holds a curve: CLF, cube, spi1d
or two columns, linear and code.

The ceiling is the formula's: a camera usually clips lower.

Examples:
  stopledger curves
  stopledger curves slog3 --over 1.65
  stopledger curves logc3 --ei 1600 --format csv
`

// curves lists the curves or prints one.
func (a app) curves(_ context.Context, args []string) error {
	o, err := curvesFlags(args)
	if err != nil {
		return err
	}
	if o.name == "" {
		list, err := curvetable.List(o.Options)
		if err != nil {
			return &usageError{verb: "curves", text: err.Error(), err: err}
		}
		return write(a.stdout, o.format, list, curvetable.WriteList, curvetable.WriteListCSV)
	}
	c, err := findCurve(o.name)
	if err == nil && o.Index != 0 {
		c, err = c.WithIndex(o.Index)
	}
	if err != nil {
		return &usageError{verb: "curves", text: err.Error(), err: err}
	}
	return write(a.stdout, o.format, curvetable.Of(c, o.Options), curvetable.WriteLadder, curvetable.WriteLadderCSV)
}

// write prints what was found in the format asked for.
func write[T any](w io.Writer, as format, what T, asText, asCSV func(io.Writer, T) error) error {
	switch as {
	case inJSON:
		e := json.NewEncoder(w)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		return e.Encode(what)
	case inCSV:
		return asCSV(w, what)
	}
	return asText(w, what)
}

// curvesOptions are the flags of curves, checked.
type curvesOptions struct {
	curvetable.Options
	name   string // "" lists all
	format format
}

func curvesFlags(args []string) (o curvesOptions, err error) {
	fs := pflag.NewFlagSet("curves", pflag.ContinueOnError)
	over := fs.Float64("over", 0, "`S`: add the zebra percent that puts grey S stops over nominal")
	fs.IntVar(&o.Index, "ei", 0, "`N`: exposure index, for a curve that differs with it")
	fs.Func("range", "`RANGE`: how codes span the signal: narrow or full (default: the curve's own)",
		oneOf(&o.Range, metadata.NarrowRange, metadata.FullRange))
	o.Range = metadata.AutoRange
	fs.Func("format", "`WHAT`: what to print: text (default), json or csv", oneOf(&o.format, inText, inJSON, inCSV))
	if err := parse("curves", curvesUsage, fs, args); err != nil {
		return o, err
	}
	if fs.Changed("over") {
		o.Over = (*curve.Stops)(over)
	}
	if err := o.check(fs); err != nil {
		return o, &usageError{verb: "curves", text: err.Error(), err: err}
	}
	o.name = fs.Arg(0)
	return o, nil
}

// mostOver bounds --over, in stops either way.
const mostOver = 20

func (o *curvesOptions) check(fs *pflag.FlagSet) error {
	switch {
	case fs.NArg() > 1:
		return errors.New("name one curve; a name with spaces needs quotes, or write it without them")
	case fs.NArg() == 1 && strings.TrimSpace(fs.Arg(0)) == "":
		return errors.New("the name of the curve is empty")
	case o.Over != nil && !(*o.Over >= -mostOver && *o.Over <= mostOver):
		return fmt.Errorf("--over cannot be %g: it takes stops, from -%d to %d", float64(*o.Over), mostOver, mostOver)
	case fs.Changed("ei") && o.Index <= 0:
		return fmt.Errorf("--ei cannot be %d: it takes an exposure index such as 800", o.Index)
	}
	return nil
}
