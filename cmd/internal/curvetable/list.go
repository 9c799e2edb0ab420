// Package curvetable is curves as tables: all of them in a list, or one stop by stop.
package curvetable

import (
	"math"

	"stopledger/curve"
	"stopledger/decode/metadata"
)

// Options say how curves are shown.
type Options struct {
	Index int                // exposure index; 0 for each curve's usual one
	Over  *curve.Stops       // adds where grey exposed so far over nominal is recorded
	Range metadata.RangeName // auto for the curve's own
}

// reading is how curves are printed: 10-bit codes in the range asked for or the curve's own.
func (o Options) reading(c *curve.Curve) curve.Reading {
	r := curve.Reading{Curve: c, Range: c.Range, Bits: 10}
	switch o.Range {
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

// An Entry is one curve in the list.
type Entry struct {
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

// A Document is the list as JSON, schema "stopledger/curves/1".
type Document struct {
	Schema    string       `json:"schema"`
	OverStops *curve.Stops `json:"over_stops,omitempty"`
	Curves    []Entry      `json:"curves"`
}

// List lists every curve; an exposure index asked for goes to those that have one.
func List(o Options) (Document, error) {
	d := Document{Schema: "stopledger/curves/1", OverStops: o.Over}
	for _, c := range curve.All() {
		if o.Index != 0 && c.Indexes() != nil {
			at, err := c.WithIndex(o.Index)
			if err != nil {
				return d, err
			}
			c = at
		}
		d.Curves = append(d.Curves, newEntry(c, o))
	}
	return d, nil
}

func newEntry(c *curve.Curve, o Options) Entry {
	r := o.reading(c)
	top := ceilingLight(r)
	e := Entry{
		Name: c.Name, Index: c.Index, Recorded: c.Recorded, Evidence: c.Grade.String(),
		Convention: "video", Range: metadata.NameOf(r.Range), Source: c.Source.String(), Note: c.Note, title: c.Source.Title,
		Black: levelAt(r, 0), MidGrey: levelAt(r, curve.MidGrey), Ceiling: levelAt(r, top),
		CeilingStops: curve.Round(top.Stops(), levelDecimals),
	}
	if c.Convention == curve.DataCodes {
		e.Convention = "data"
	}
	if o.Over != nil {
		over := levelAt(r, o.Over.Light())
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
