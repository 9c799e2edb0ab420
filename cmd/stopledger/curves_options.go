package main

import (
	"errors"
	"fmt"
	"io"
	"math"
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

// levelDecimals are printed of codes, percents and stops, so that another processor's last bit
// changes nothing.
const levelDecimals = 2

// A curveEntry is one curve in the list.
type curveEntry struct {
	Name         string             `json:"name"`
	Index        int                `json:"exposure_index,omitempty"`
	Convention   string             `json:"convention"` // data or video
	Evidence     string             `json:"convention_evidence"`
	Recorded     bool               `json:"recorded_by_cameras"`
	Range        metadata.RangeName `json:"range"`
	Black        curve.Level        `json:"black"` // null where the curve does not reach it
	MidGrey      curve.Level        `json:"mid_grey"`
	Over         *curve.Level       `json:"over,omitempty"` // grey exposed over_stops over nominal
	Ceiling      curve.Level        `json:"ceiling"`
	CeilingStops curve.Stops        `json:"ceiling_recorded_stops"`
	Source       string             `json:"source"`
	Note         string             `json:"note,omitempty"`

	title string // of the source
}

// A curvesDocument is the list as JSON, schema "stopledger/curves/1".
type curvesDocument struct {
	Schema    string       `json:"schema"`
	OverStops *curve.Stops `json:"over_stops,omitempty"`
	Curves    []curveEntry `json:"curves"`
}

// curveList lists every curve; an exposure index asked for goes to those that have one.
func curveList(o curvesOptions) (curvesDocument, error) {
	d := curvesDocument{Schema: "stopledger/curves/1", OverStops: o.over}
	for _, c := range curve.All() {
		if o.ei != 0 && c.Indexes() != nil {
			at, err := c.WithIndex(o.ei)
			if err != nil {
				return d, &usageError{verb: "curves", text: err.Error(), err: err}
			}
			c = at
		}
		d.Curves = append(d.Curves, newCurveEntry(c, o))
	}
	return d, nil
}

func newCurveEntry(c *curve.Curve, o curvesOptions) curveEntry {
	r := o.reading(c)
	top := ceilingLight(r)
	e := curveEntry{
		Name: c.Name, Index: c.Index, Recorded: c.Recorded, Evidence: c.Grade.String(),
		Convention: "video", Range: metadata.NameOf(r.Range), Source: c.Source.String(), Note: c.Note, title: c.Source.Title,
		Black: levelAt(r, 0), MidGrey: levelAt(r, curve.MidGrey), Ceiling: levelAt(r, top),
		CeilingStops: curve.Round(top.Stops(), levelDecimals),
	}
	if c.Convention == curve.DataCodes {
		e.Convention = "data"
	}
	if o.over != nil {
		over := levelAt(r, o.over.Light())
		e.Over = &over
	}
	return e
}

// ceilingLight is the light at the end of the curve or of what ten bits hold.
func ceilingLight(r curve.Reading) curve.Light { return r.Light(ceilingCode(r)) }

func ceilingCode(r curve.Reading) curve.FileCode { return min(r.Recorded(r.Curve.Top), 1023) }

// levelAt is where light is recorded; unknown if that is past the codes or the curve's end.
func levelAt(r curve.Reading, light curve.Light) curve.Level {
	code := r.CodeOf(light)
	const slack = 1e-6 // of rounding at the ceiling itself
	if code < 0 || code > ceilingCode(r)+slack {
		code = curve.Unknown[curve.FileCode]()
	}
	level := r.Level(code)
	return curve.Level{Code: curve.Round(level.Code, levelDecimals), Percent: curve.Round(level.Percent, levelDecimals)}
}

// significant rounds to digits that count.
func significant[T ~float64](v T, digits int) T {
	if v == 0 || !curve.Finite(v) {
		return v
	}
	return curve.Round(v, digits-1-int(math.Floor(math.Log10(math.Abs(float64(v))))))
}
