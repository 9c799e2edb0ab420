package text

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"stopledger/report"
)

func skips(kind report.SkipKind, paths ...string) (list []report.Skip) {
	for _, p := range paths {
		list = append(list, report.Skip{Path: p, Kind: kind, Reason: "because"})
	}
	return list
}

// What is not read is counted by extension, most frequent first, without case.
func TestNotReadIsCountedByExtension(t *testing.T) {
	eight := skips(report.SkipNotRead, "a.R3D", "b.braw", "c.r3d", "d.r3d", "e.r3d", "f.r3d", "g.braw", "h.braw")
	if got := SkippedWords(eight); !slices.Equal(got, []string{"8 files not read (.r3d, .braw)"}) {
		t.Errorf("in the summary: %q", got)
	}
	if got := SkipGroups(eight); len(got) != 1 || got[0].Head != "8 files not read: 5 .r3d, 3 .braw" {
		t.Errorf("by itself: %+v", got)
	}
	many := skips(report.SkipNotRead, "x.a", "x.b", "x.c", "x.d", "x.e", "x.f", "x.g", "x.h", "none", "dir.d/none")
	if got := SkipGroups(many)[0].Head; got != "10 files not read: "+
		"2 no ending, 1 .a, 1 .b, 1 .c, 1 .d, 1 .e and 3 more kinds" {
		t.Errorf("many kinds: %q", got)
	}
}

// Every kind that a document can hold is told: nothing is left out for want of words.
func TestEveryKindOfSkipIsTold(t *testing.T) {
	kinds := []report.SkipKind{report.SkipNotRead, report.SkipProxy, report.SkipThumb, report.SkipSound, report.SkipSame,
		report.SkipLink, report.SkipSpecial, report.SkipGap, report.SkipHidden}
	var all []report.Skip
	for _, k := range kinds {
		all = append(all, skips(k, "a.x")...)
	}
	groups := SkipGroups(append(all, all...))
	if len(groups) != len(kinds) {
		t.Errorf("%d kinds make %d groups", len(kinds), len(groups))
	}
	for _, g := range groups {
		if len(g.Files) != 2 || !strings.HasPrefix(g.Head, "2 ") {
			t.Errorf("%+v", g)
		}
	}
}

// Failures of one reason stand together, each clip with its name.
func TestFailuresAreGrouped(t *testing.T) {
	doc := &report.Document{Failed: []report.Failure{{Path: "a\x1b.mov", Error: "is empty; copy it again"},
		{Path: "b.mov", Error: "has no index; copy it again"}, {Path: "c.mov", Error: "is empty; copy it again"}},
		Skipped: skips(report.SkipProxy, "1", "2", "3", "4", "5", "6", "7", "8", "9")}
	var b bytes.Buffer
	if err := WriteAudit(&b, doc, Layout{}); err != nil {
		t.Fatal(err)
	}
	want := `not measured, 2 clips: is empty; copy it again
    a\x1b.mov
    c.mov
not measured: b.mov: has no index; copy it again
9 proxies not measured
    1: because
    2: because
    3: because
    4: because
    5: because
    6: because
    7: because
    8: because
    and 1 more
No clip measured, 3 could not be measured, 9 skipped.
`
	if b.String() != want {
		t.Errorf("got\n%s", b.String())
	}
}
