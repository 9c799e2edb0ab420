package main

import (
	"math"

	"stopledger/curve"
	"stopledger/decode/metadata"
)

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
