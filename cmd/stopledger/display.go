package main

import (
	"errors"
	"strings"

	"github.com/spf13/pflag"

	"stopledger/analyze/display"
	"stopledger/curve"
	"stopledger/curve/lut"
	"stopledger/report"
)

// displayFlags are the flags of a display transform of the user's.
type displayFlags struct {
	made    *lut.Transform // nil for none
	domain  curve.Domain   // "" where none is named
	expects *curve.Stops   // nil where none is named
}

// noDisplay is the text for no file, as against a default of the user's own.
const noDisplay = "none"

func (d *displayFlags) add(fs *pflag.FlagSet) {
	fs.Func("display", "`FILE`: show pictures and figures after the correction through this display transform, "+
		"a .cube or .clf file (default none, the built-in rendering)", d.set)
	fs.Func("domain", "`WHAT`: what the display file takes: curve (default), the curve's own values, or video, "+
		"code values after undoing the file's range", func(text string) error {
		return oneOf(&d.domain, curve.CurveDomain, curve.VideoDomain)(text) // which sets the default as well
	})
	fs.Func("expects", "`S`: the placement that the display file was made for, over nominal (default 0); "+
		"also the target where none is named", d.setExpects)
}

func (d *displayFlags) set(text string) (err error) {
	if d.made = nil; strings.EqualFold(text, noDisplay) {
		return nil
	}
	if d.made, err = lut.LoadTransform(text); err != nil {
		return valueError(": " + err.Error())
	}
	return nil
}

func (d *displayFlags) setExpects(text string) error {
	stops, err := stopsOverNominal(text)
	d.expects = &stops
	return err
}

// file returns the display file that was asked for; nil for none.
func (d *displayFlags) file() (*display.File, error) {
	switch {
	case d.made != nil:
		f := &display.File{Path: report.PlainPath(d.made.Path), Digest: d.made.Digest, Domain: d.domain, Made: d.made}
		if f.Domain == "" {
			f.Domain = curve.CurveDomain
		}
		if d.expects != nil {
			f.Expects = *d.expects
		}
		return f, nil
	case d.domain != "":
		return nil, errors.New("--domain says what a display file takes: name one with --display")
	case d.expects != nil:
		return nil, errors.New("--expects says what a display file was made for: name one with --display")
	}
	return nil, nil
}
