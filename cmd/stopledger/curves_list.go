package main

import (
	"encoding/csv"
	"encoding/json"
	"io"
	"math"
	"strconv"

	"stopledger/curve"
)

// A curveLevel is one point of a curve as recorded; null where the curve does not reach it.
type curveLevel struct {
	Code    *float64 `json:"code"`    // 10-bit
	Percent *float64 `json:"percent"` // as a zebra shows it
}

// A curveEntry is one curve in the list.
type curveEntry struct {
	Name         string      `json:"name"`
	Index        int         `json:"exposure_index,omitempty"`
	Convention   string      `json:"convention"` // data or video
	Evidence     string      `json:"convention_evidence"`
	Recorded     bool        `json:"recorded_by_cameras"`
	Range        string      `json:"range"`
	Black        curveLevel  `json:"black"`
	MidGrey      curveLevel  `json:"mid_grey"`
	Over         *curveLevel `json:"over,omitempty"` // grey exposed over_stops over nominal
	Ceiling      curveLevel  `json:"ceiling"`
	CeilingStops *float64    `json:"ceiling_recorded_stops"`
	Source       string      `json:"source"`
	Note         string      `json:"note,omitempty"`

	title string // of the source
}

// A curvesDocument is the list as JSON, schema "stopledger/curves/1".
type curvesDocument struct {
	Schema    string       `json:"schema"`
	OverStops *float64     `json:"over_stops,omitempty"`
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
		Convention: "video", Range: "narrow", Source: c.Source.String(), Note: c.Note, title: c.Source.Title,
		Black: levelAt(r, 0), MidGrey: levelAt(r, curve.MidGrey), Ceiling: levelAt(r, top),
		CeilingStops: rounded(curve.ToStops(top), 2),
	}
	if c.Convention == curve.DataCodes {
		e.Convention = "data"
	}
	if r.Range == curve.Full {
		e.Range = "full"
	}
	if o.over != nil {
		over := levelAt(r, curve.FromStops(*o.over))
		e.Over = &over
	}
	return e
}

// ceilingLight is the light at the end of the curve or of what ten bits hold.
func ceilingLight(r curve.Reading) float64 {
	return r.Linear(min(r.Code(r.Curve.Top), 1023))
}

// levelAt is where light is recorded; nothing if that is past the codes or the curve's end.
func levelAt(r curve.Reading, light float64) curveLevel {
	code := r.CodeOf(light)
	const slack = 1e-6 // of rounding at the ceiling itself
	if code < 0 || code > min(r.Code(r.Curve.Top), 1023)+slack {
		return curveLevel{}
	}
	return curveLevel{rounded(code, 2), rounded(r.Percent(code), 2)}
}

// rounded keeps a number's printed digits, so that another processor's last bit changes nothing;
// nil for what is not finite.
func rounded(v float64, digits int) *float64 {
	scale := math.Pow10(digits)
	v = math.Round(v*scale) / scale
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	v += 0 // no -0
	return &v
}

func (d curvesDocument) write(w io.Writer, format string) error {
	switch format {
	case "json":
		return writeIndented(w, d)
	case "csv":
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
	for _, c := range d.Curves {
		var over curveLevel
		if c.Over != nil {
			over = *c.Over
		}
		index := ""
		if c.Index != 0 {
			index = strconv.Itoa(c.Index)
		}
		rows = append(rows, []string{c.Name, index, c.Convention, c.Evidence, strconv.FormatBool(c.Recorded), c.Range,
			csvNumber(c.Black.Code), csvNumber(c.Black.Percent), csvNumber(c.MidGrey.Code), csvNumber(c.MidGrey.Percent),
			csvNumber(d.OverStops), csvNumber(over.Code), csvNumber(over.Percent),
			csvNumber(c.Ceiling.Code), csvNumber(c.Ceiling.Percent), csvNumber(c.CeilingStops), c.Source})
	}
	return csv.NewWriter(w).WriteAll(rows)
}

// csvNumber is a number without a unit, or an empty cell.
func csvNumber(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', -1, 64)
}
