package metadata

import (
	"strings"
	"testing"

	"stopledger/decode/metadata/container"
)

func said(m meaning, o Origin) Claim {
	return Claim{Curve: m.curve, Kind: m.kind, Among: m.among, Origin: o, Where: "there", Verbatim: "so"}
}

func TestChoose(t *testing.T) {
	slog3, slog2 := curveOf("S-Log3", GradeRead), curveOf("S-Log2", GradeRead)
	bt709, hlg, pq := curveOf("BT.709", GradeRead), curveOf("HLG", GradeRead), curveOf("PQ", GradeRead)
	display, logC, own := displayGamma("x"), spokenGammas["logc"], openLog("own")
	for _, c := range []struct {
		name      string
		claims    []Claim
		curve     string
		from      Origin
		conflicts int
	}{
		{"nothing", nil, "", "", 0},
		{"one", []Claim{said(slog3, OriginKey)}, "S-Log3", OriginKey, 0},
		{"agreement goes to the most trusted", []Claim{said(slog3, OriginKey), said(slog3, OriginAcquisition)}, "S-Log3",
			OriginAcquisition, 0},
		{"levels 1 and 2 disagree", []Claim{said(slog3, OriginAcquisition), said(slog2, OriginClipXML)}, "", "", 1},
		{"levels 2 and 4 disagree", []Claim{said(slog3, OriginDescriptor), said(slog2, OriginSidecar)}, "", "", 1},
		{"one level disagrees with itself", []Claim{said(slog3, OriginClipXML), said(slog2, OriginSidecar)}, "", "", 1},
		{"one against two", []Claim{said(slog3, OriginAcquisition), said(slog2, OriginClipXML), said(slog2, OriginKey)},
			"", "", 2},
		{"a tag is no evidence against", []Claim{said(slog3, OriginDescriptor), said(hlg, OriginTransfer)}, "S-Log3",
			OriginDescriptor, 0},
		{"a tag alone", []Claim{said(hlg, OriginTransfer)}, "HLG", OriginTransfer, 0},
		{"tags disagree", []Claim{said(hlg, OriginTransfer), said(pq, OriginTransfer)}, "", "", 1},
		{"not log", []Claim{said(display, OriginClipXML), said(hlg, OriginTransfer)}, "", "", 0},
		{"not log against log", []Claim{said(display, OriginAcquisition), said(slog3, OriginClipXML)}, "", "", 1},
		{"not log and BT.709", []Claim{said(display, OriginAcquisition), said(bt709, OriginClipXML)}, "", "", 0},
		{"BT.709 and not log", []Claim{said(bt709, OriginAcquisition), said(display, OriginClipXML)}, "BT.709",
			OriginAcquisition, 0},
		{"open, then named", []Claim{said(logC, OriginClipXML), said(curveOf("LogC4", GradeRead), OriginKey)}, "LogC4",
			OriginKey, 0},
		{"open, but not for that one", []Claim{said(logC, OriginClipXML), said(slog3, OriginKey)}, "", "", 1},
		{"open alone", []Claim{said(own, OriginKey), said(hlg, OriginTransfer)}, "", "", 0},
		{"open against not log", []Claim{said(own, OriginKey), said(display, OriginClipXML)}, "", "", 1},
		{"not understood, then named", []Claim{said(notUnderstood, OriginAcquisition), said(slog3, OriginKey)}, "S-Log3",
			OriginKey, 0},
		{"not understood, then a tag", []Claim{said(notUnderstood, OriginKey), said(hlg, OriginTransfer)}, "", "", 0},
	} {
		got, conflicts := choose(c.claims)
		switch {
		case got == nil && c.curve != "", got != nil && (got.Curve != c.curve || got.Origin != c.from):
			t.Errorf("%s: got %+v, want %s of %s", c.name, got, c.curve, c.from)
		case len(conflicts) != c.conflicts:
			t.Errorf("%s: conflicts %q", c.name, conflicts)
		}
	}
}

func TestConflictNamesBothSources(t *testing.T) {
	n := &notes{}
	n.claim(spoken("s-log2"), OriginSidecar, "C0001M01.XML, CaptureGammaEquation", "s-log2")
	n.claim(curveOf("S-Log3", GradeRead), OriginAcquisition, "rtmd track, item 3210", "060E")
	r := n.record()
	want := "the per-frame metadata says S-Log3 (rtmd track, item 3210: 060E), " +
		"but the XML beside the clip says S-Log2 (C0001M01.XML, CaptureGammaEquation: s-log2)"
	if r.Curve != nil || len(r.Conflicts) != 1 || r.Conflicts[0] != want {
		t.Errorf("got %v, %q", r.Curve, r.Conflicts)
	}
	if len(r.Claims) != 2 || r.Claims[0].Origin != OriginAcquisition {
		t.Errorf("claims are not in order of trust: %+v", r.Claims)
	}
}

func TestListsAreBounded(t *testing.T) {
	n := &notes{}
	for i := range 1000 {
		n.claim(notUnderstood, OriginKey, "there", strings.Repeat("x", i))
		n.problemf("problem %d", i)
	}
	n.problemf("problem 0")
	if len(n.claims) != container.MostSentences || len(n.unknown) != container.MostSentences ||
		len(n.problems) != container.MostSentences {
		t.Errorf("%d claims, %d unknown, %d problems", len(n.claims), len(n.unknown), len(n.problems))
	}
}

// A value of any length makes a sentence of bounded length.
func TestLongValuesAreCut(t *testing.T) {
	c := said(notUnderstood, OriginKey)
	c.Verbatim = strings.Repeat("é", 1<<20)
	if s := c.String(); len(s) > 400 || !strings.Contains(s, "ééé...") {
		t.Errorf("%d bytes: %.200s", len(s), s)
	}
}
