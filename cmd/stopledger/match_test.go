package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/decode/synth"
	"stopledger/decode/synth/footage"
	"stopledger/report"
)

// takeOf records a random scene so many stops over nominal, seen from a place of its own.
func takeOf(t *testing.T, path string, trial footage.Trial, stops curve.Stops, frame footage.Motion) {
	t.Helper()
	trial.Shot.Stops, trial.Shot.Frames, trial.Shot.Motion = stops, 4, frame
	as := synth.Encoding{Codec: synth.ProRes422, Metadata: map[string]string{"com.atomos.hdr.gamma": "SLog3"}}
	_, err := footage.Record(trial.Camera, trial.Shot, footage.Copy{Path: path, Encoding: as})
	if err != nil {
		t.Fatal(err)
	}
}

// Takes of one scene through ProRes: by what both show within 0.05 stops, by a chart within 0.02, and
// another scene is refused with exit code 3.
func TestMatchTakes(t *testing.T) {
	if testing.Short() {
		t.Skip("records four clips")
	}
	const over = 1.2
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	s := curveNamed(t, "S-Log3")
	scene := footage.NewTrial(60002, 480, 270, s)
	closer := func(float64) (x, y, scale float64) { return 22, -9, 0.9 }
	plain := scene
	plain.Shot.Scene = footage.NewTrial(60004, 480, 270, s).Shot.Scene
	takeOf(t, at("plain.mov"), plain, 0.2, footage.Tripod)
	takeOf(t, at("plain-over.mov"), plain, 0.2+over, closer)
	takeOf(t, at("chart.mov"), scene.WithChart(), 0.2, footage.Tripod)
	takeOf(t, at("chart-over.mov"), scene.WithChart(), 0.2+over, footage.Tripod)

	match := func(code int, names ...string) report.Match {
		t.Helper()
		got, stdout, stderr := program(t, "match", "--quiet", "--format", "json", at(names[0]), "--to", at(names[1]))
		var m report.Matching
		if err := json.Unmarshal([]byte(stdout), &m); err != nil || got != code || len(m.Matches) != 1 {
			t.Fatalf("%v: exit code %d, %v, %d matches: %s", names, got, err, len(m.Matches), stderr)
		}
		return m.Matches[0]
	}
	within := func(m report.Match, want, off float64) {
		t.Helper()
		if math.Abs(float64(m.Stops)-want) > off || !(m.Low <= curve.Stops(want) && curve.Stops(want) <= m.High) {
			t.Errorf("%s to %s: %.3f (%.3f to %.3f), want %.3f within %.2f", m.Path, m.To, m.Stops, m.Low, m.High, want, off)
		}
	}
	m := match(exitMeasured, "plain-over.mov", "plain.mov")
	within(m, -over, 0.05)
	if m.By == "" {
		t.Errorf("not matched: %s", m.Reason)
	}
	m = match(exitMeasured, "chart.mov", "chart-over.mov")
	within(m, over, 0.02)
	if m.By != "chart" || m.RGB == nil {
		t.Fatalf("the chart is matched by %q, %s", m.By, m.Reason)
	}
	for i, c := range m.RGB {
		if math.Abs(float64(c)-over) > 0.03 { // the same light on both
			t.Errorf("channel %d: %.3f stops, want %.2f", i, c, over)
		}
	}
	matchedFiles(t, at("chart-over.mov"), at("chart.mov"), filepath.Join(dir, "out"), -over)
	m = match(exitSomeFailed, "chart.mov", "plain.mov")
	if m.By != "" || !strings.Contains(m.Reason, "nothing in common") {
		t.Errorf("another scene is matched by %q: %s", m.By, m.Reason)
	}
}

// matchedFiles writes the files of a match and looks at them: each applies the offset that was told, and
// the page shows both clips.
func matchedFiles(t *testing.T, path, to, out string, want float64) {
	t.Helper()
	code, stdout, stderr := program(t, "match", "--quiet", "--format", "json", "--as", "clf,cube", "--domain", "video",
		"--out", out, path, "--to", to)
	var m report.Matching
	if err := json.Unmarshal([]byte(stdout), &m); err != nil || code != exitMeasured || m.Adjusted == nil {
		t.Fatalf("exit code %d, %v: %s", code, err, stderr)
	}
	if len(m.Files) != 2 {
		t.Errorf("%d files, want 2", len(m.Files))
	}
	for _, f := range m.Files {
		if math.Abs(float64(f.Stops)-want) > 0.02 || f.Path != path {
			t.Errorf("%s applies %.3f to %s, want %.2f", f.File, f.Stops, f.Path, want)
		}
		if _, err := os.Stat(filepath.Join(out, f.File)); err != nil {
			t.Error(err)
		}
	}
	page, err := os.ReadFile(filepath.Join(out, "match.html"))
	if n := strings.Count(string(page), "data:image/jpeg"); err != nil || n != 3 { // before and after, and the other
		t.Errorf("%v, %d pictures in the page, want 3", err, n)
	}
}

func TestMatchMistakes(t *testing.T) {
	folder := t.TempDir()
	for _, name := range []string{"one.mov", "two.mov"} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte("a clip"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for args, says := range map[string]string{
		"":                                "--to CLIP",
		"a.mov":                           "--to CLIP",
		"--to a.mov":                      "name the clips to bring to a.mov",
		"a.mov --to " + folder:            "--to takes one clip",
		"a.mov --to a.mov":                "other than the one of --to",
		"a.mov --to b.mov --grey nothing": "--grey",
	} {
		code, _, stderr := program(t, append([]string{"match"}, strings.Fields(args)...)...)
		if code != exitUsage || !strings.Contains(stderr, says) {
			t.Errorf("match %s: exit code %d: %s", args, code, stderr)
		}
	}
}
