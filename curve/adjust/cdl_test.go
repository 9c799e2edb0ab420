package adjust

import (
	"bytes"
	"encoding/xml"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/curve/ocio"
)

// stopsDown are S-Log3 clips brought down, as video.
func sLog3Down(stops curve.Stops) Change {
	c, err := curve.Find("S-Log3")
	if err != nil {
		panic(err)
	}
	return Change{curve.Reading{Curve: c, Bits: 10}, curve.VideoDomain, stops}
}

// The offset of a decision and its error by tone, S-Log3 as video; worked out in double precision from the
// published formula, and the error found again by OpenColorIO with its clamped style.
func TestOffsetsOfDecisions(t *testing.T) {
	for _, w := range []struct {
		stops, placement curve.Stops
		offset           float64
		errors           map[curve.Stops]float64 // by stops over nominal
	}{
		{-1.65, 1.65, -0.143538, nil},
		{-0.7, 0, -0.058711, map[curve.Stops]float64{-4: -0.92, -3: -0.36, -2: -0.15, -1: -0.05, 0: 0, 2: 0.04, 4: 0.04}},
		{-1.65, 0, -0.134446, map[curve.Stops]float64{-3: -2.86, -2: -0.55, -1: -0.17, 0: 0, 1: 0.08, 4: 0.14}},
		{1, 0, 0.086405, map[curve.Stops]float64{-6: 1.42, -4: 0.48, -2: 0.11, 0: 0, 2: -0.03, 6: -0.32}},
	} {
		c := sLog3Down(w.stops)
		d := c.CDL(w.placement)
		if math.Abs(d.Offset-w.offset) > 1e-6 {
			t.Errorf("%+.2f at %+.2f: offset %.6f, want %.6f", w.stops, w.placement, d.Offset, w.offset)
		}
		for tone, want := range w.errors {
			if got := float64(c.ErrorAt(d, tone)); !(math.Abs(got-want) <= 0.0051) {
				t.Errorf("%+.2f at tone %+.0f: %+.4f stops off, want %+.2f", w.stops, tone, got, want)
			}
		}
		if e := c.ErrorAt(d, w.placement); math.Abs(float64(e)) > 1e-4 {
			t.Errorf("%+.2f: grey itself is off by %g", w.stops, e)
		}
	}
	c := sLog3Down(-1.65)
	if e := c.ErrorAt(c.CDL(0), -4); !math.IsInf(float64(e), -1) {
		t.Errorf("what is clamped under black is off by %g", e)
	}
	if e := c.ErrorAt(c.CDL(0), 9); curve.Finite(e) {
		t.Errorf("a tone above all codes is off by %g", e)
	}
	if worst, at := c.WorstError(c.CDL(0), -2, 4); math.Abs(float64(worst)-0.55) > 0.0051 || at != -2 {
		t.Errorf("worst %g at %g", worst, at)
	}
}

// A decision is what the standard says (ASC CDL 1.2): OpenColorIO, with the standard's clamps, makes of
// each value clamp(v + offset), from a file of one and, by their ids, of many.
func TestDecisionsAsOpenColorIO(t *testing.T) {
	t.Chdir(t.TempDir())
	var many []LabelledCDL
	files := []ocio.File{}
	for i, stops := range []curve.Stops{-1.65, -0.3, 1.2} {
		d := sLog3Down(stops).CDL(0)
		id := []string{"A001_C001", "A001_C002", "0003"}[i]
		many = append(many, LabelledCDL{label(id), d})
		files = append(files, ocio.File{Path: file(t, id+".cc", d)})
	}
	var b bytes.Buffer
	if err := WriteCCC(&b, []string{"All <of> them."}, many); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("all.ccc", b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	path, err := filepath.Abs("all.ccc")
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range many {
		files = append(files, ocio.File{Path: path, ID: k.ID})
	}
	in := pixels(50003, -0.2, 1.2)
	for i, got := range ocio.Colours(t, files, in) {
		offset := many[i%3].Offset
		want := func(v float64) float64 { return min(max(v+offset, 0), 1) }
		if off, at := furthest(in, got, want, all); off > 1e-6 {
			t.Errorf("%s: %g is off by %g", files[i].Path, at, off)
		}
	}
}

// What is written is XML in which every text comes back as it was, and numbers that careless readers take:
// digits on both sides of the point and no exponents.
func TestTextsOfDecisions(t *testing.T) {
	hostile := Label{ID: "a", Name: "x", About: []string{"a \"b\" <c> & d\x00\u2028]]>\n--"}, Values: "0..1"}
	var b bytes.Buffer
	if err := WriteCCC(&b, []string{"<&>"}, []LabelledCDL{{hostile, CDL{-0.00001}}}); err != nil {
		t.Fatal(err)
	}
	var read struct {
		XMLName     xml.Name
		Description string
		Correction  []struct {
			ID          string `xml:"id,attr"`
			Description string
			Input       string `xml:"InputDescription"`
			Offset      string `xml:"SOPNode>Offset"`
			Saturation  string `xml:"SatNode>Saturation"`
		} `xml:"ColorCorrection"`
	}
	if err := xml.Unmarshal(b.Bytes(), &read); err != nil {
		t.Fatal(err)
	}
	c := read.Correction[0]
	if read.XMLName.Space != "urn:ASC:CDL:v1.2" || read.XMLName.Local != "ColorCorrectionCollection" ||
		read.Description != "<&>" || c.ID != "a" || c.Input != "0..1" || c.Saturation != "1.000000" ||
		c.Offset != "-0.000010 -0.000010 -0.000010" {
		t.Errorf("%+v", read)
	}
	if want := "a \"b\" <c> & d\uFFFD\uFFFD]]>\uFFFD--"; c.Description != want {
		t.Errorf("description %q, want %q", c.Description, want)
	}
	if strings.Contains(b.String(), "e-") {
		t.Error("a number has an exponent")
	}
}
