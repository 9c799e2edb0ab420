package html

import (
	"bytes"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/analyze/advise"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

// noNumber is how Go and scripts write what is no number.
var (
	noNumber = regexp.MustCompile(`NaN|\bInf\b|Infinity|%!`)
	encoded  = regexp.MustCompile(`data-packed="[^"]*"|;base64,[^"')]*`) // in which any letters come up
)

// Whatever is not known, or not finite, every page is written, and none shows what is no number.
func TestPagesOfUnknown(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0} {
		dir, doc := t.TempDir(), reporttest.Unknown(v)
		for i, action := range []advise.Action{advise.Pull, advise.Lift} {
			doc.Clips[i].Advice.Action = action
			doc.Clips[i].Highlights.Ceiling.Origin = "measured"
		}
		writePictures(t, dir, doc)
		if err := Write(dir, doc); err != nil {
			t.Fatal(err)
		}
		if err := WriteComparison(dir, unknownTakes(doc, v)); err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{report.IndexPage, report.ComparePage, report.ClipPage(doc.Clips[0].Path),
			report.ClipPage(doc.Clips[1].Path)} {
			page := encoded.ReplaceAllString(pageParts.ReplaceAllString(written(t, dir, name), ""), "")
			if at := noNumber.FindStringIndex(page); at != nil {
				t.Errorf("with %g %s holds %q", v, name, page[max(0, at[0]-80):min(len(page), at[1]+40)])
			}
		}
	}
}

// unknownTakes compares the clips by figures that are all v.
func unknownTakes(doc *report.Document, v float64) *report.Comparison {
	c := &report.Comparison{Clips: doc.Clips}
	e := advise.Estimate{Value: curve.Amount(v), Low: curve.Amount(v), High: curve.Amount(v)}
	for i, clip := range doc.Clips {
		tone := limitless(i)
		c.Takes = append(c.Takes, advise.Take{Path: clip.Path, Figures: []advise.Figure{
			{Name: "placement", Unit: "stops", Value: &e, Difference: &advise.Difference{Estimate: e, Told: true}},
			{Name: "snr", Unit: "dB", SceneStops: &tone, Value: &e, Difference: &advise.Difference{Estimate: e, Told: true}},
			{Name: "clipped_any", Unit: "share", Value: &e, Difference: &advise.Difference{Estimate: e, Told: true}},
			{Name: "headroom", Unit: "stops"},
		}})
	}
	return c
}

func limitless(i int) curve.Stops { return curve.Stops(i - 4) }

// A clip of which nothing at all is known has a page.
func TestPageOfAnEmptyClip(t *testing.T) {
	dir := t.TempDir()
	doc := &report.Document{Clips: []report.Clip{{}, {File: report.File{Path: "a.mov"},
		Placement: &placement.Placement{}}}}
	if err := Write(dir, doc); err != nil {
		t.Fatal(err)
	}
	if page := written(t, dir, report.ClipPage("")); !strings.Contains(page, "no grey was found") {
		t.Error("the page does not say that no grey was found")
	}
}

// The index and the comparison are only looked for in the report's own folder.
func TestPagesWhereTheyCannotBeWritten(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(dir+"/"+report.ClipFolder, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := Write(dir, reporttest.Shoot(t)); err == nil || !strings.Contains(err.Error(), "--out") {
		t.Errorf("a file in the way of the clips' folder: %v", err)
	}
	if err := WriteComparison(dir+"/none", reporttest.ShootTakes(t, reporttest.Shoot(t), 2)); err == nil {
		t.Error("a folder that is not there is written to")
	}
}

// The pages of a document in memory are those of the document as it was written and read, to the
// last byte: numbers that the file rounds are drawn and printed as it has them.
func TestPagesOfADocumentThatWasRead(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	doc := reporttest.Shoot(t)
	stir(doc)
	var file bytes.Buffer
	if err := report.WriteJSON(&file, doc); err != nil {
		t.Fatal(err)
	}
	read, err := report.ReadJSON(&file)
	if err != nil {
		t.Fatal(err)
	}
	inMemory, fromFile := t.TempDir(), t.TempDir()
	for dir, doc := range map[string]*report.Document{inMemory: doc, fromFile: read} {
		writePictures(t, dir, doc)
		if err := Write(dir, doc); err != nil {
			t.Fatal(err)
		}
	}
	names := []string{report.IndexPage}
	for _, c := range doc.Clips {
		names = append(names, report.ClipPage(c.Path))
	}
	for _, name := range names {
		a, b := pictureData.ReplaceAllString(written(t, inMemory, name), ""), pictureData.ReplaceAllString(written(t,
			fromFile, name), "")
		if diff := cmp.Diff(strings.Split(a, ">"), strings.Split(b, ">")); diff != "" {
			t.Errorf("%s differs (-in memory +read):\n%s", name, diff)
		}
	}
}

var pictureData = regexp.MustCompile(`data:image/[^"]*`)

// stir moves the numbers of a document by less than its file can hold.
func stir(doc *report.Document) {
	random := rand.New(rand.NewPCG(1, 2))
	off := func() float64 { return (random.Float64() - 0.5) * 0.9e-4 }
	for i := range doc.Clips {
		c := &doc.Clips[i]
		for k := range c.Noise.Tones {
			tone := &c.Noise.Tones[k]
			tone.Scene += curve.Stops(off())
			tone.Recorded += curve.Stops(off())
			tone.SNR += curve.Decibels(off())
			tone.Low += curve.Decibels(off())
			tone.SigmaLinear *= curve.Light(1 + off()/50)
		}
		for k := range c.Noise.Graded {
			for j := range c.Noise.Graded[k].Tones {
				c.Noise.Graded[k].Tones[j].SNR += curve.Decibels(off())
			}
		}
		for k := range c.Histogram.Shares {
			c.Histogram.Shares[k] += curve.Share(off() / 100)
		}
		for k := range c.Over {
			c.Over[k].Placement += curve.Stops(off())
			c.Over[k].Clipped += curve.Share(math.Abs(off()) / 100)
		}
		c.Noise.Floor += curve.Stops(off())
		c.Highlights.Ceiling.Recorded += curve.Stops(off())
		c.Highlights.Clipped.Any += curve.Share(math.Abs(off()) / 100)
		c.Advice.After.SNR += curve.Decibels(off())
		if p := c.Placement; p != nil {
			p.Stops, p.Low, p.High = p.Stops+curve.Stops(off()), p.Low+curve.Stops(off()), p.High+curve.Stops(off())
			for k := range p.Series {
				p.Series[k].Stops += curve.Stops(off())
			}
		}
		if m := c.Noise.Model; m != nil {
			m.Read *= curve.Light(1 + off()/50)
		}
	}
}
