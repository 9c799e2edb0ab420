package text

import (
	"fmt"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/report"
)

func TestSummary(t *testing.T) {
	alarm := report.Clip{Advice: advise.Advice{Findings: []advise.Finding{{Level: advise.Alarm}}}}
	for _, test := range []struct {
		clips  []report.Clip
		failed int
		want   string
	}{
		{nil, 0, "No clip measured."},
		{nil, 2, "No clip measured, 2 could not be measured."},
		{[]report.Clip{{}}, 0, "1 clip measured, none to check by eye."},
		{[]report.Clip{{}, alarm}, 1, "2 clips measured, 1 to check by eye (!), 1 could not be measured."},
		{[]report.Clip{alarm, alarm, {}}, 0, "3 clips measured, 2 to check by eye (!)."},
	} {
		if got := Summary(&report.Document{Clips: test.clips, Failed: make([]report.Failure,
			test.failed)}); got != test.want {
			t.Errorf("got %q, want %q", got, test.want)
		}
	}
}

// After a long list the clips to check by eye are named again, each on a line that fits.
func TestSummaryNamesTheUrgent(t *testing.T) {
	tail := func(clips, urgent, width int) string {
		doc := &report.Document{}
		for i := range clips {
			c := report.Clip{File: report.File{Path: fmt.Sprintf("card/a rather long folder/%02d.mov", i)}}
			if i < urgent {
				c.Advice.Findings = []advise.Finding{{Level: advise.Alarm}}
			}
			doc.Clips = append(doc.Clips, c)
		}
		_, after, _ := strings.Cut(textOf(t, doc, Layout{Width: width}), "(!).\n")
		return after
	}
	for _, test := range []struct {
		clips, urgent, width int
		want                 string
	}{
		{8, 2, 0, ""}, {9, 2, 0, "    card/a rather long folder/00.mov\n    card/a rather long folder/01.mov\n"},
		{9, 1, 30, "    .../00.mov\n"}, {9, 0, 0, ""},
	} {
		if got := tail(test.clips, test.urgent, test.width); got != test.want {
			t.Errorf("%d of %d clips in %d columns:\n%s", test.urgent, test.clips, test.width, got)
		}
	}
	if got := tail(30, 25, 0); strings.Count(got, ".mov\n") != 20 || !strings.HasSuffix(got, "\n    and 5 more\n") {
		t.Errorf("25 of 30 clips:\n%s", got)
	}
}
