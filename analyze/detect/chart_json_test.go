package detect

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"stopledger/curve"
)

// TestChartJSON: a document keeps what is said of a chart, and nothing else of it.
func TestChartJSON(t *testing.T) {
	c := Chart{Edition: EditionNov2014, Line: Line{Slope: 1.0576, Residual: 0.00123, Offset: 3}}
	c.WhiteBalance[0], c.Doubt = 0.25, &Doubt{Kind: StrayLight, Flare: 0.1}
	for i := range c.Patches {
		c.Patches[i].Name = patchNames[i]
	}
	c.Patches[23].Measured, c.Patches[18].Used = curve.Stops(math.Inf(-1)), true // no light
	b, err := json.Marshal(&c)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`{"edition":"after November 2014","slope":1.0576,"residual_stops":0.0012,`,
		`,"white_balance_stops":[0.25,0,0],"patches":[{"name":"dark skin",`,
		`{"name":"dark skin","published_stops":0,"measured_stops":0,"residual_stops":0,"used":false}`,
		`"name":"black 2","published_stops":0,"measured_stops":null`, `],"doubt":"flare"}`,
	} {
		if !strings.Contains(string(b), want) {
			t.Errorf("no %s in %s", want, b)
		}
	}
	var back Chart
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	if back.Edition != c.Edition || back.Doubt == nil || back.Doubt.Kind != StrayLight ||
		back.Line.Slope != c.Line.Slope || !back.Patches[18].Used || !math.IsNaN(float64(back.Patches[23].Measured)) {
		t.Errorf("came back as %+v", back)
	}
	c.Doubt = nil
	if b, err := json.Marshal(c); err != nil || strings.Contains(string(b), "doubt") {
		t.Errorf("%s, %v", b, err)
	}
}

// TestNames: what settings and documents call editions and kinds.
func TestNames(t *testing.T) {
	for e, name := range map[Edition]string{Edition2005: "2005", Edition1976: "1976", EditionNov2014: "2014"} {
		var back Edition
		b, err := e.MarshalText()
		if err != nil || string(b) != name || back.UnmarshalText(b) != nil || back != e {
			t.Errorf("edition %v is written %s and read as %v, want %s (%v)", e, b, back, name, err)
		}
	}
	for _, k := range []Kind{ChartKind, CardKind, FaceKind} {
		var back Kind
		if b, err := k.MarshalText(); err != nil || back.UnmarshalText(b) != nil || back != k {
			t.Errorf("kind %v is written %s and read as %v", k, b, back)
		}
	}
	var e Edition
	if err := e.UnmarshalText([]byte("1999")); err == nil || !strings.Contains(err.Error(), "2005, 1976, 2014") {
		t.Errorf("edition 1999: %v", err)
	}
}
