package html

import (
	"encoding/base64"
	"html"
	"regexp"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/handover"
	"stopledger/report/internal/reporttest"
)

var saved = regexp.MustCompile(`<a download="([^"]*)" href="data:application/octet-stream;base64,([^"]*)">`)

// What a clip's page offers to be saved are the files that the verb writes, and its numbers those of the CDL; a
// clip with nothing to correct offers none, and one whose values are the same either way only one kind.
func TestCorrectionOnAPage(t *testing.T) {
	doc := reporttest.Shoot(t)
	doc.Clips = doc.Clips[:1]
	c := &doc.Clips[0]
	page := func() string {
		t.Helper()
		dir := t.TempDir()
		if err := Write(dir, doc); err != nil {
			t.Fatal(err)
		}
		return written(t, dir, report.ClipPage(c.Path))
	}
	text := page()
	o, refused := handover.OrderOf(c, handover.Wish{})
	if refused != "" {
		t.Fatal(refused)
	}
	want := map[string]string{}
	for as, domains := range map[handover.Kind][]curve.Domain{handover.CLF: handover.Domains,
		handover.Cube: {curve.VideoDomain}} {
		for _, d := range domains {
			k := o.Make(as, d)
			stem := handover.Stem(c.Path)
			want[k.Name(stem)] = string(k.Bytes(stem, doc.Tool))
		}
	}
	found := saved.FindAllStringSubmatch(text, -1)
	for _, m := range found {
		b, err := base64.StdEncoding.DecodeString(html.UnescapeString(m[2]))
		if err != nil || string(b) != want[m[1]] || len(b) == 0 {
			t.Errorf("%s is another file: %v", m[1], err)
		}
	}
	if len(found) != 3 || len(want) != 3 {
		t.Errorf("%d files, want %d", len(found), len(want))
	}
	for _, row := range o.Make(handover.CDL, curve.VideoDomain).SOP() {
		if !strings.Contains(text, ">"+row[0]+"</th><td>"+row[1]+"</td>") {
			t.Errorf("the page does not say %s %s", row[0], row[1])
		}
	}
	c.Range.Value = "full"
	reading := curve.Reading{Curve: o.Reading.Curve, Range: curve.Full, Bits: 10}
	c.Curve.MidGrey = reading.Level(reading.CodeOf(curve.MidGrey))
	if text = page(); len(saved.FindAllString(text, -1)) != 2 || !strings.Contains(text, "codes 0..1023 as 0..1") {
		t.Error("a full-range clip has files for data levels too")
	}
	c.Advice.Action, c.Advice.Stops = advise.Hold, 0
	if text = page(); strings.Contains(text, "download=") || strings.Contains(text, "As a CDL") {
		t.Error("a hold has files")
	}
}
