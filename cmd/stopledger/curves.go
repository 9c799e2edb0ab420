package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/pflag"

	"stopledger/curve"
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
	over   *float64
	rng    *curve.Range // nil for the curve's own
	format string
}

// runCurves lists the curves or prints one.
func runCurves(args []string, stdout, stderr io.Writer) error {
	o, err := curvesFlags(args, stdout)
	if err != nil {
		return err
	}
	if o.name == "" {
		list, err := curveList(o)
		if err != nil {
			return err
		}
		return list.write(stdout, o.format)
	}
	c, err := findCurve(o.name, o.ei)
	if err != nil {
		return &usageError{verb: "curves", text: err.Error(), err: err}
	}
	return newLadder(c, o).write(stdout, o.format)
}

func curvesFlags(args []string, stdout io.Writer) (o curvesOptions, err error) {
	var over float64
	var rng string
	fs := pflag.NewFlagSet("curves", pflag.ContinueOnError)
	fs.Float64Var(&over, "over", 0, "`S`: add the zebra percent that puts grey S stops over nominal")
	fs.IntVar(&o.ei, "ei", 0, "`N`: exposure index, for a curve that differs with it")
	fs.StringVar(&rng, "range", "", "`RANGE`: how codes span the signal: narrow or full (default: the curve's own)")
	fs.StringVar(&o.format, "format", formatChoices[0], "`WHAT`: what to print: text (default), json or csv")
	if err := parse("curves", curvesUsage, fs, args, stdout); err != nil {
		return o, err
	}
	if err := o.check(fs, over, rng); err != nil {
		return o, &usageError{verb: "curves", text: err.Error(), err: err}
	}
	return o, nil
}

func (o *curvesOptions) check(fs *pflag.FlagSet, over float64, rng string) (err error) {
	if fs.NArg() > 1 {
		return errors.New("name one curve; a name with spaces needs quotes, or write it without them")
	}
	o.name = fs.Arg(0)
	if fs.NArg() == 1 && strings.TrimSpace(o.name) == "" {
		return errors.New("the name of the curve is empty")
	}
	if fs.Changed("over") {
		if !(math.Abs(over) <= 20) {
			return fmt.Errorf("--over cannot be %g: it takes stops, from -20 to 20", over)
		}
		o.over = &over
	}
	if fs.Changed("range") {
		if rng, err = oneOf("range", rng, rangeChoices[1:]); err != nil {
			return err
		}
		r := curve.Narrow
		if rng == "full" {
			r = curve.Full
		}
		o.rng = &r
	}
	if fs.Changed("ei") && o.ei <= 0 {
		return fmt.Errorf("--ei cannot be %d: it takes an exposure index such as 800", o.ei)
	}
	o.format, err = oneOf("format", o.format, formatChoices)
	return err
}

// reading is how curves are printed: 10-bit codes in the range asked for or the curve's own.
func (o curvesOptions) reading(c *curve.Curve) curve.Reading {
	r := curve.Reading{Curve: c, Range: c.Range, Bits: 10}
	if o.rng != nil {
		r.Range = *o.rng
	}
	return r
}

// findCurve finds a published curve or reads the user's own from a file, at an exposure index
// unless that is 0.
func findCurve(name string, ei int) (*curve.Curve, error) {
	c, err := curve.Find(name)
	if err != nil && isFile(name) {
		c, err = curve.Load(name)
	}
	if err == nil && ei != 0 {
		c, err = c.WithIndex(ei)
	}
	return c, err
}
