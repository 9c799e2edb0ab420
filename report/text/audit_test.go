package text

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

func textOf(t *testing.T, doc *report.Document, layout Layout) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteAudit(&b, doc, layout); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestText(t *testing.T) {
	var all strings.Builder
	for _, width := range []int{0, 160, 120, 100, 80, 50} {
		fmt.Fprintf(&all, "=== width %d\n%s", width, textOf(t, reporttest.Day(t), Layout{Width: width}))
	}
	reporttest.Golden(t, "audit.txt", all.String())
}

// However narrow the terminal, no line of figures or sentence is wider, but for single words and names of
// files, which are never cut.
func TestTextFits(t *testing.T) {
	const longestWord = 38 // "measured:" after an escaped file name of the invented day
	names := map[string]bool{}
	for _, c := range reporttest.Day(t).Clips {
		names[metadata.Printable(report.ClipName(c.Path))] = true
	}
	for width := 1; width <= 200; width++ {
		for _, line := range strings.Split(textOf(t, reporttest.Day(t), Layout{Width: width}), "\n") {
			if cells(line) > max(width, longestWord) && !names[line] {
				t.Fatalf("width %d: %d columns: %s", width, cells(line), line)
			}
		}
	}
}

// Columns stand under each other: each figure ends where its head ends.
func TestTextAligns(t *testing.T) {
	for _, width := range []int{0, 120, 100} {
		lines := strings.Split(textOf(t, reporttest.Day(t), Layout{Width: width}), "\n")
		heads := lines[0]
		at := strings.Index(heads, "clipped") + len("clipped")
		for _, line := range lines[1:] {
			if !strings.Contains(line, ".mov ") || strings.HasPrefix(line, " ") && strings.HasPrefix(strings.TrimSpace(line),
				"not") {
				continue
			}
			if strings.HasPrefix(line, "    ") {
				continue
			}
			if len(line) < at || line[at-1] != '%' {
				t.Errorf("width %d: the share does not end at column %d:\n%s\n%s", width, at, heads, line)
			}
		}
	}
}

// A clip's line begins with its path, and its file's name is whole, however narrow the terminal.
func TestLinesBeginWithPaths(t *testing.T) {
	doc := reporttest.Day(t)
	for width := range 161 {
		lines := strings.Split(textOf(t, doc, Layout{Width: width}), "\n")
		at := 1
		for _, c := range doc.Clips {
			name := metadata.Printable(report.ClipName(c.Path))
			for at < len(lines) && !strings.Contains(lines[at], name) {
				at++
			}
			if at == len(lines) {
				t.Fatalf("width %d: no line has the name %s", width, name)
			}
			before, after, _ := strings.Cut(lines[at], name)
			if folder := metadata.Printable(report.ClipDir(c.Path)) + "/"; !strings.HasSuffix("/"+folder, before) &&
				!strings.HasPrefix(before, "...") || after != "" && !strings.HasPrefix(after, "  ") {
				t.Errorf("width %d: %q does not begin with the path of %s", width, lines[at], name)
			}
			at++
		}
	}
}

// Colour says nothing that is not said without it.
func TestColourIsNotNeeded(t *testing.T) {
	with, without := textOf(t, reporttest.Day(t), Layout{Width: 90, Color: true}), textOf(t, reporttest.Day(t),
		Layout{Width: 90})
	if with == without {
		t.Error("there is no colour")
	}
	for _, style := range []string{styleAlarm, styleCaution, styleHead, "0"} {
		with = strings.ReplaceAll(with, "\x1b["+style+"m", "")
	}
	if with != without {
		t.Error("text differs by more than colour")
	}
}

func TestTextIsPrintable(t *testing.T) {
	if text := textOf(t, reporttest.Day(t), Layout{Width: 80}); strings.ContainsAny(text, "\x1b\r\t\x00") {
		t.Error("a control character of a file name reached the text")
	}
}

// On a narrow terminal the folders that all clips share give way first; the file's name stays whole.
func TestPathsOnANarrowTerminal(t *testing.T) {
	doc := reporttest.Day(t)
	doc.Clips, doc.Failed = doc.Clips[:2], nil
	doc.Clips[0].Path, doc.Clips[1].Path = "/media/card/day1/A001_C003_take.mov", "/media/card/day2/A001_C004_take.mov"
	for width, wants := range map[int][]string{
		140: {"\n/media/card/day1/A001_C003_take.mov  ", "  headroom  "},
		95:  {"clip in /media/card/ ", "\nday1/A001_C003_take.mov  ", "  headroom  "},
		83:  {"\nday1/A001_C003_take.mov  ", "  floor  ", "  headroom  "},
		68:  {"\nA001_C003_take.mov  ", "  SNR -4  "},
	} {
		text := textOf(t, doc, Layout{Width: width})
		for _, want := range wants {
			if !strings.Contains(text, want) {
				t.Errorf("%q is missing in %d columns:\n%s", want, width, text)
			}
		}
	}
}

// Whatever is not known, or not finite, text is written, and none of it is what is no number.
func TestTextOfUnknown(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0} {
		doc := reporttest.Unknown(v)
		for i, action := range []advise.Action{advise.Pull, advise.Lift} {
			doc.Clips[i].Advice.Action = action
		}
		text := textOf(t, doc, Layout{Width: 100})
		for _, bad := range []string{"NaN", "Inf", "%!", "-0.0", "pull 0", "lift 0"} {
			if strings.Contains(text, bad) {
				t.Errorf("with %g the text holds %q:\n%s", v, bad, text)
			}
		}
	}
}

// A clip's worst finding marks its line; alarms are told in full, and of cautions those that the
// verdict does not tell in its own words.
func TestMarksAndFindings(t *testing.T) {
	of := func(findings ...advise.Finding) string {
		c := report.Clip{File: report.File{Path: "a.mov"}, Advice: advise.Advice{Summary: "So it is.", Findings: findings}}
		var b bytes.Buffer
		if err := NewAudit(&b, Layout{}, []string{"a.mov"}).Clip(&c); err != nil {
			t.Fatal(err)
		}
		_, lines, _ := strings.Cut(b.String(), "\n")
		line, told, _ := strings.Cut(lines, "\n")
		rest, begins := strings.CutPrefix(line, "a.mov  ")
		if !begins {
			t.Errorf("the line does not begin with the path: %q", line)
		}
		return strings.TrimSpace(rest[:1]) + "|" + told
	}
	alarm := advise.Finding{ID: advise.FieldClipped, Level: advise.Alarm, Text: "The sky clips."}
	known := advise.Finding{ID: advise.GreyWeak, Level: advise.Caution, Text: "No grey."}
	news := advise.Finding{ID: advise.Flicker, Level: advise.Caution, Text: "It flickers."}
	note := advise.Finding{ID: advise.Drift, Level: advise.Note, Text: "It drifts."}
	for _, test := range []struct {
		findings []advise.Finding
		want     string
	}{
		{nil, "|    So it is.\n"},
		{[]advise.Finding{note}, "|    So it is.\n"},
		{[]advise.Finding{known}, "*|    So it is.\n"},
		{[]advise.Finding{note, news, known}, "*|    So it is.\n    * It flickers.\n"},
		{[]advise.Finding{news, alarm}, "!|    So it is.\n    * It flickers.\n    ! The sky clips.\n"},
	} {
		if got := of(test.findings...); got != test.want {
			t.Errorf("%+v:\n got %q\nwant %q", test.findings, got, test.want)
		}
	}
}

// The figures of a line are the document's, and none of noise where the recording hides it.
func TestFiguresOfAClip(t *testing.T) {
	doc := reporttest.Day(t)
	for i, want := range [][]string{
		{"card", "-9.1 stops", "34 dB", "2.1 stops", "0 %"},
		{"card", "-9.2 stops", "27 dB", "3.7 stops", "0 %"},
		{curve.Absent, curve.Absent, curve.Absent, curve.Absent, "4.1 %"},
	} {
		c := &doc.Clips[i]
		got := []string{Method(c), Floor(c), Shadows(c), Headroom(c), Clipped(c)}
		if strings.Join(got, "|") != strings.Join(want, "|") {
			t.Errorf("%s: got %q, want %q", c.Path, got, want)
		}
	}
	c := &doc.Clips[0]
	c.Placement.Carried = "quay/take8.mov"
	if got := Method(c); got != "carried" {
		t.Errorf("of grey carried over: %q", got)
	}
	c.Noise.Suppressed = true
	if Floor(c) != curve.Absent || Shadows(c) != curve.Absent {
		t.Error("figures of hidden noise are told")
	}
}

// Clips that the document does not hold say the same.
func TestStreamedClips(t *testing.T) {
	written := func(d *report.Document) string {
		var b bytes.Buffer
		if err := WriteAudit(&b, d, Layout{Width: 100}); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	whole := reporttest.Day(t)
	streamed := *whole
	streamed.Clips, streamed.Stream = nil, &report.Stream{Each: whole.EachClip}
	for i := range whole.Clips {
		streamed.Stream.Add(&whole.Clips[i])
	}
	if got, want := written(&streamed), written(whole); got != want {
		t.Errorf("streamed:\n%s\nwhole:\n%s", got, want)
	}
}
