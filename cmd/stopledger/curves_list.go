package main

import (
	"encoding/csv"
	"encoding/json"
	"io"
	"math"
	"strconv"

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

func (d curvesDocument) write(w io.Writer, as format) error {
	switch as {
	case inJSON:
		return writeIndented(w, d)
	case inCSV:
		return d.writeCSV(w)
	}
	return d.writeText(w)
}

func writeIndented(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

func (d curvesDocument) writeCSV(w io.Writer) error {
	rows := [][]string{{"name", "exposure_index", "convention", "convention_evidence", "recorded_by_cameras", "range",
		"black_code", "black_percent", "mid_grey_code", "mid_grey_percent", "over_stops", "over_code", "over_percent",
		"ceiling_code", "ceiling_percent", "ceiling_recorded_stops", "source"}}
	overStops := curve.Unknown[curve.Stops]()
	if d.OverStops != nil {
		overStops = *d.OverStops
	}
	for _, c := range d.Curves {
		over := curve.Level{Code: curve.Unknown[curve.Code](), Percent: curve.Unknown[curve.Percent]()}
		if c.Over != nil {
			over = *c.Over
		}
		index := ""
		if c.Index != 0 {
			index = strconv.Itoa(c.Index)
		}
		rows = append(rows, []string{c.Name, index, c.Convention, c.Evidence, strconv.FormatBool(c.Recorded), string(c.Range),
			csvNumber(c.Black.Code), csvNumber(c.Black.Percent), csvNumber(c.MidGrey.Code), csvNumber(c.MidGrey.Percent),
			csvNumber(overStops), csvNumber(over.Code), csvNumber(over.Percent),
			csvNumber(c.Ceiling.Code), csvNumber(c.Ceiling.Percent), csvNumber(c.CeilingStops), c.Source})
	}
	return csv.NewWriter(w).WriteAll(rows)
}

// csvNumber is a number without a unit, or an empty cell.
func csvNumber[T ~float64](v T) string {
	if !curve.Finite(v) {
		return ""
	}
	return strconv.FormatFloat(float64(v), 'f', -1, 64)
}

// significant rounds to digits that count.
func significant[T ~float64](v T, digits int) T {
	if v == 0 || !curve.Finite(v) {
		return v
	}
	return curve.Round(v, digits-1-int(math.Floor(math.Log10(math.Abs(float64(v))))))
}
