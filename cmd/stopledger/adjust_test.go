package main

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/curve/lut"
	"stopledger/report"
)

// adjusted runs adjust and reads its document.
func adjusted(t *testing.T, args ...string) (doc report.Adjusted, code int, stderr string) {
	t.Helper()
	code, stdout, stderr := call(t, fakeMeasure, append([]string{"adjust", "--format", "json"}, args...)...)
	decodeStrictly(t, stdout, &doc)
	return doc, code, stderr
}

// Of clips and of their audit's folder, with and without its ledger, the same is written.
func TestAdjustOfClipsAndOfAnAudit(t *testing.T) {
	inFolder(t, "day/a.mov", "day/b.mov", "day/bad.mov")
	of, code, stderr := adjusted(t, "--out", "fix", "day")
	if code != exitSomeFailed || len(of.Files) != 12 || len(of.Lists) != 6 || len(of.Refused) != 1 ||
		!strings.Contains(of.Refused[0].Reason, "cut off") ||
		!strings.Contains(stderr, "refused: day/bad.mov: not measured") {
		t.Fatalf("exit code %d, %+v: %s", code, of, stderr)
	}
	if f := of.Files[0]; f.Path != "day/a.mov" || f.Stops != -1.65 || f.Curve != "S-Log3" || f.File != "a_curve.clf" {
		t.Errorf("%+v", f)
	}
	call(t, fakeMeasure, "audit", "--out", "report", "day")
	again, code, _ := adjusted(t, "--out", "fix2", "report")
	same(t, "of the ledger", of, again)
	if err := os.Remove("report/ledger.sqlite"); err != nil {
		t.Fatal(err)
	}
	last, _, _ := adjusted(t, "--out", "fix3", "report")
	same(t, "of the document", of, last)
	if code != exitSomeFailed {
		t.Errorf("exit code %d", code)
	}
	for _, f := range of.Files {
		a, b := must(os.ReadFile("fix/"+f.File)), must(os.ReadFile("fix3/"+f.File))
		if string(a) != string(b) {
			t.Errorf("%s differs between clips and their audit", f.File)
		}
	}
}

func same(t *testing.T, what string, a, b report.Adjusted) {
	t.Helper()
	x, y := string(must(json.Marshal(a))), string(must(json.Marshal(b)))
	if x != y {
		t.Errorf("%s:\n%s\nwant\n%s", what, y, x)
	}
}

// What is asked for is what is written.
func TestAdjustAsAsked(t *testing.T) {
	inFolder(t, "a.mov")
	for _, w := range []struct {
		args  string
		files string
		code  int
	}{
		{"--as clf", "a_curve.clf a_video.clf", exitMeasured},
		{"--as clf,cube --domain video", "a_video.clf a_video.cube", exitMeasured},
		{"--as cdl --as clf --domain curve", "a_curve.cc a_curve.clf", exitMeasured},
		{"--as cdl --domain video --max-error 0.1", "", exitSomeFailed},
		{"--as cdl --domain video --stops -3", "", exitSomeFailed},
		{"--as clf --domain video --target 1.6", "", exitSomeFailed}, // a hold
		{"--as clf --domain video --target 1.6 --stops 0.5", "a_video.clf", exitMeasured},
	} {
		out := filepath.Join("fix", strings.ReplaceAll(w.args, " ", ""))
		doc, code, stderr := adjusted(t, append(strings.Fields(w.args), "--out", out, "a.mov")...)
		var files []string
		for _, f := range doc.Files {
			files = append(files, f.File)
			if _, err := os.Stat(filepath.Join(out, f.File)); err != nil {
				t.Error(err)
			}
		}
		if got := strings.Join(files, " "); got != w.files || code != w.code || (code == exitMeasured) != (stderr == "") ||
			(code == exitSomeFailed) != (len(doc.Refused) > 0) {
			t.Errorf("%s: %q, exit code %d: %s %+v", w.args, got, code, stderr, doc.Refused)
		}
	}
	doc, _, _ := adjusted(t, "--as", "clf", "--domain", "curve", "--stops", "-0.70049", "--out", "fix", "a.mov")
	if doc.Files[0].Stops != -0.7 {
		t.Errorf("stops are %v, rounded to a thousandth they are -0.7", doc.Files[0].Stops)
	}
	clf, err := lut.LoadTransform("fix/a_curve.clf")
	if err != nil {
		t.Fatal(err)
	}
	slog3 := curveNamed(t, "S-Log3")
	want := slog3.Encode(curve.Stops(-0.7).Light())
	if got := clf.RGB([3]float64{slog3.Encode(curve.MidGrey), 0.5, 0.6})[0]; !(got-want < 1e-7 && want-got < 1e-7) {
		t.Errorf("the file brings grey to %.8f, want %.8f", got, want)
	}
}

// A clip of a curve from a file, in an audit, is adjusted where the file is named again.
func TestAdjustWithACurveFromAFile(t *testing.T) {
	inFolder(t, "a.mov")
	var rows strings.Builder
	slog3 := curveNamed(t, "S-Log3")
	for code := curve.FileCode(100); code < 1000; code += 4 {
		r := curve.Reading{Curve: slog3, Bits: 10}
		rows.WriteString(strings.TrimSpace(string(must(json.Marshal(float64(r.Light(code)))))) + " " +
			string(must(json.Marshal(float64(code)))) + "\n")
	}
	if err := os.WriteFile("own.txt", []byte(rows.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	take{curve: "S-Log3", stops: 1.65}.record(t, "take.mkv")
	program(t, "audit", "--quiet", "--curve", "own.txt", "--region", takeCard, "--out", "report", "take.mkv")
	code, _, stderr := program(t, "adjust", "--as", "clf", "--out", "fix", "report")
	if code != exitSomeFailed || !strings.Contains(stderr, "came from a file: name that file with --curve") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
	code, stdout, stderr := program(t, "adjust", "--as", "clf", "--curve", "own.txt", "--out", "fix", "report")
	if code != exitMeasured || stderr != "" || !strings.Contains(stdout, "take_video.clf") {
		t.Errorf("exit code %d: %s%s", code, stdout, stderr)
	}
	code, _, stderr = program(t, "adjust", "--as", "clf", "--curve", "vlog", "--out", "fix", "report")
	if code != exitSomeFailed || !strings.Contains(stderr, "measure the clip again") {
		t.Errorf("with another curve: exit code %d: %s", code, stderr)
	}
}

// Text and CSV tell the same as JSON.
func TestAdjustAsTextAndCSV(t *testing.T) {
	inFolder(t, "a.mov", "bad.mov")
	_, stdout, _ := call(t, fakeMeasure, "adjust", "--format", "csv", "--out", "fix", "a.mov", "bad.mov")
	rows, err := csv.NewReader(strings.NewReader(stdout)).ReadAll()
	if err != nil || len(rows) != 1+6+6+1 {
		t.Errorf("%v, %d rows: %s", err, len(rows), stdout)
	}
	_, stdout, stderr := call(t, fakeMeasure, "adjust", "--out", "fix", "a.mov", "bad.mov")
	for _, says := range []string{"-1.650", "a_video.cube", "exposure_curve.otio",
		"6 files of 1 clip, 6 lists; 1 refused"} {
		if !strings.Contains(stdout, says) {
			t.Errorf("no %q in\n%s", says, stdout)
		}
	}
	if strings.Count(stderr, "\n") != 1 {
		t.Error(stderr)
	}
}

func TestAdjustMistakes(t *testing.T) {
	inFolder(t, "a.mov", "plain")
	call(t, fakeMeasure, "audit", "--out", "report", "a.mov")
	for args, says := range map[string]string{
		"a.mov":                                       "--out",
		"--out fix":                                   "name clips",
		"--out plain a.mov":                           "cannot be made a folder",
		"--out fix --as lut a.mov":                    "clf, cdl, cube",
		"--out fix --as clf,,cdl a.mov":               "clf, cdl, cube",
		"--out fix --domain data a.mov":               "curve or video",
		"--out fix --stops 0 a.mov":                   "but 0",
		"--out fix --stops 0.0004 a.mov":              "but 0",
		"--out fix --stops NaN a.mov":                 "stops from -12 to 12",
		"--out fix --max-error 0 a.mov":               "stops from 0.001",
		"--out fix --target 1 report":                 "--target has no use",
		"--out fix --assume vlog --grey card bad.mov": "", // what cannot be measured is refused
	} {
		code, stdout, stderr := call(t, fakeMeasure, append([]string{"adjust"}, strings.Fields(args)...)...)
		if says != "" && (code != exitUsage || stdout != "" || !strings.Contains(stderr, says) ||
			strings.Count(stderr, "\n") != 1) {
			t.Errorf("%s: exit code %d, %s%s, want %q", args, code, stdout, stderr, says)
		}
		if says == "" && (code != exitSomeFailed || !strings.Contains(stderr, "refused: bad.mov: not measured")) {
			t.Errorf("%s: exit code %d, %s", args, code, stderr)
		}
	}
	if entries, err := os.ReadDir("fix"); err == nil && len(entries) > 0 {
		t.Errorf("something was written: %v", entries)
	}
}
