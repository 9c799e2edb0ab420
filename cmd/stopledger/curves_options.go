package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

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

// curvesOptions are the flags of curves, checked.
type curvesOptions struct {
	name   string // "" lists all
	ei     int    // 0 for the usual one
	over   *curve.Stops
	rng    metadata.RangeName // auto for the curve's own
	format format
}

func curvesFlags(args []string, stdout io.Writer) (o curvesOptions, err error) {
	fs := pflag.NewFlagSet("curves", pflag.ContinueOnError)
	over := fs.Float64("over", 0, "`S`: add the zebra percent that puts grey S stops over nominal")
	fs.IntVar(&o.ei, "ei", 0, "`N`: exposure index, for a curve that differs with it")
	fs.Func("range", "`RANGE`: how codes span the signal: narrow or full (default: the curve's own)",
		oneOf(&o.rng, metadata.NarrowRange, metadata.FullRange))
	o.rng = metadata.AutoRange
	fs.Func("format", "`WHAT`: what to print: text (default), json or csv", oneOf(&o.format, inText, inJSON, inCSV))
	if err := parse("curves", curvesUsage, fs, args, stdout); err != nil {
		return o, err
	}
	if fs.Changed("over") {
		o.over = (*curve.Stops)(over)
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
	case o.over != nil && !(*o.over >= -mostOver && *o.over <= mostOver):
		return fmt.Errorf("--over cannot be %g: it takes stops, from -%d to %d", float64(*o.over), mostOver, mostOver)
	case fs.Changed("ei") && o.ei <= 0:
		return fmt.Errorf("--ei cannot be %d: it takes an exposure index such as 800", o.ei)
	}
	return nil
}

// reading is how curves are printed: 10-bit codes in the range asked for or the curve's own.
func (o curvesOptions) reading(c *curve.Curve) curve.Reading {
	r := curve.Reading{Curve: c, Range: c.Range, Bits: 10}
	switch o.rng {
	case metadata.NarrowRange:
		r.Range = curve.Narrow
	case metadata.FullRange:
		r.Range = curve.Full
	}
	return r
}
