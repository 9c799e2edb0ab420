package html

import (
	"math"
	"os"
	"regexp"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

// noNumber is how Go and scripts write what is no number.
var noNumber = regexp.MustCompile(`NaN|\bInf\b|Infinity|%!`)

// Whatever is not known, or not finite, every page is written, and none shows what is no number.
func TestPagesOfUnknown(t *testing.T) {
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
			page := pageParts.ReplaceAllString(written(t, dir, name), "")
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
