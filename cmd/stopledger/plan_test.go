package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"stopledger/report"
)

// A plan is told as text, JSON, CSV and a page, with the same numbers.
func TestPlan(t *testing.T) {
	inFolder(t, "a.mov")
	code, stdout, stderr := call(t, fakeMeasure, "plan", "--curve", "slog3", "--out", "before")
	if code != exitMeasured || stderr != "" {
		t.Fatalf("exit code %d, stderr %s", code, stderr)
	}
	for _, part := range []string{"S-Log3, a scene from -4.0 to +4.0", "40.6", "58.1", "stopledger profile"} {
		if !strings.Contains(stdout, part) {
			t.Errorf("it does not say %q:\n%s", part, stdout)
		}
	}
	for _, name := range []string{"plan.json", "plan.csv", "plan.txt", "plan.html"} {
		text, err := os.ReadFile("before/" + name)
		if err != nil || !strings.Contains(string(text), "58.0") && !strings.Contains(string(text), "58.1") {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, head := range map[string]string{"guide.png": "\x89PNG", "guide.pdf": "%PDF", "guide.html": "<!doctype"} {
		if b, err := os.ReadFile("before/" + name); err != nil || !strings.HasPrefix(string(b), head) {
			t.Errorf("%s: %v", name, err)
		}
	}
	_, stdout, _ = call(t, fakeMeasure, "plan", "--curve", "slog3", "--format", "json")
	var p report.Plan
	if err := json.Unmarshal([]byte(stdout), &p); err != nil || p.Schema != "stopledger/plan/1" || len(p.Rows) != 11 ||
		!strings.Contains(stdout, `"profile": null`) || !strings.Contains(stdout, `"iso": null`) ||
		!strings.Contains(stdout, `"snr_db": null`) {
		t.Errorf("%v: %s", err, stdout)
	}
	_, stdout, _ = call(t, fakeMeasure, "plan", "--curve", "slog3", "--format", "csv")
	rows, err := csv.NewReader(strings.NewReader(stdout)).ReadAll()
	if err != nil || len(rows) != 12 || rows[1][2] != "-1" || rows[1][9] != "" {
		t.Errorf("%v: %q", err, rows)
	}
}

// A test clip gives the scene and the curve.
func TestPlanOfClip(t *testing.T) {
	inFolder(t, "a.mov")
	code, stdout, stderr := call(t, fakeMeasure, "plan", "--test", "a.mov", "--format", "json")
	var p report.Plan
	if err := json.Unmarshal([]byte(stdout), &p); err != nil || code != exitMeasured {
		t.Fatalf("%v: exit code %d, %s", err, code, stderr)
	}
	if p.Curve != "S-Log3" || p.Test != "a.mov" || math.Abs(float64(p.Scene.High)+1.65) > 1e-9 {
		t.Errorf("%+v", p.Scene)
	}
}

func TestPlanMistakes(t *testing.T) {
	inFolder(t, "a.mov", "bad.mov", "other/plan.html", "broken.toml")
	for _, c := range []struct {
		args, says string
		code       int
	}{
		{"plan", "name the curve with --curve", exitUsage},
		{"plan a.mov", "--test CLIP", exitUsage},
		{"plan --curve slog3 --scene 4,-4", "the lower first", exitUsage},
		{"plan --curve slog3 --scene nan,4", "the lower first", exitUsage},
		{"plan --curve slog3 --scene 4", "the lower first", exitUsage},
		{"plan --curve slog3 --meter -1", "--meter cannot be -1", exitUsage},
		{"plan --curve slog3 --profile none.toml", "none.toml", exitUsage},
		{"plan --curve slog3 --profile broken.toml", "broken.toml", exitUsage},
		{"plan --curve slog3 --out other", "plan.html", exitUsage},
		{"plan --curve vlog --test a.mov", "--curve is V-Log, and the test clip is of S-Log3", exitUsage},
		{"plan --test bad.mov", "not measured: bad.mov", exitSomeFailed},
	} {
		code, _, stderr := call(t, fakeMeasure, strings.Fields(c.args)...)
		if code != c.code || !strings.Contains(stderr, c.says) {
			t.Errorf("%s: exit code %d, stderr %s", c.args, code, stderr)
		}
	}
}

// A profile is written as a file with a page beside it, and plan takes it.
func TestProfile(t *testing.T) {
	inFolder(t, "a.mov", "b.mov", "c.mov")
	code, stdout, stderr := call(t, fakeMeasure, "profile", "800=a.mov", "3200=b.mov", "3200=c.mov", "--out",
		"camera.toml")
	if code != exitMeasured || stderr != "" {
		t.Fatalf("exit code %d, stderr %s", code, stderr)
	}
	for _, part := range []string{"base ISO 800", "800 base", "3200", "by gain", "ISO 800: no noise is told"} {
		if !strings.Contains(stdout, part) {
			t.Errorf("it does not say %q:\n%s", part, stdout)
		}
	}
	for name, part := range map[string]string{"camera.toml": "[iso.3200]", "camera.html": "Camera profile"} {
		if text, err := os.ReadFile(name); err != nil || !strings.Contains(string(text), part) {
			t.Errorf("%s: %v", name, err)
		}
	}
	_, stdout, _ = call(t, fakeMeasure, "profile", "800=a.mov", "3200=b.mov", "--format", "json")
	var p report.Profile
	err := json.Unmarshal([]byte(stdout), &p)
	if err != nil || p.Schema != "stopledger/profile/1" || len(p.ISOs) != 2 ||
		!strings.Contains(stdout, `"no_gain_above": null`) || len(p.Exposures) != 2 || p.Exposures[1].Gain != 2 {
		t.Errorf("%v: %s", err, stdout)
	}
	code, stdout, stderr = call(t, fakeMeasure, "plan", "--profile", "camera.toml")
	if code != exitMeasured || !strings.Contains(stdout, "by the profile camera.toml") ||
		!strings.Contains(stdout, "3200") {
		t.Errorf("exit code %d, %s%s", code, stdout, stderr)
	}
	// Again over its own files; a take that cannot be measured leaves the others.
	code, _, stderr = call(t, fakeMeasure, "profile", "800=a.mov", "800=bad.mov", "--out", "camera.toml")
	if code != exitSomeFailed || !strings.Contains(stderr, "bad.mov") {
		t.Errorf("exit code %d, %s", code, stderr)
	}
}

func TestProfileMistakes(t *testing.T) {
	inFolder(t, "a.mov", "bad.mov", "mine.toml", "other.html")
	for _, c := range []struct {
		args, says string
		code       int
	}{
		{"profile", "name test takes", exitUsage},
		{"profile a.mov", "800=a.mov", exitUsage},
		{"profile 800=a.mov --out camera.txt", "ends in .toml", exitUsage},
		{"profile 800=a.mov --out none/camera.toml", "none", exitUsage},
		{"profile 800=bad.mov", "not measured: bad.mov", exitSomeFailed},
	} {
		code, _, stderr := call(t, fakeMeasure, strings.Fields(c.args)...)
		if code != c.code || !strings.Contains(stderr, c.says) {
			t.Errorf("%s: exit code %d, stderr %s", c.args, code, stderr)
		}
	}
	put(t, "mine.toml", "a = 1\n")
	put(t, "other.html", "mine")
	for _, out := range []string{"mine.toml", "other.toml"} {
		code, _, stderr := call(t, fakeMeasure, "profile", "800=a.mov", "--out", out)
		if code != exitUsage || !strings.Contains(stderr, "did not write") {
			t.Errorf("%s: exit code %d, stderr %s", out, code, stderr)
		}
	}
}

// A profile serves audits: it tells the ceiling where nothing clips, from the flag or from the user's own
// defaults; a clip that does not say its ISO is told.
func TestProfileServes(t *testing.T) {
	inFolder(t, "a.mov", "night.mov")
	call(t, fakeMeasure, "profile", "800=a.mov", "--out", "camera.toml")
	code, stdout, stderr := call(t, fakeMeasure, "audit", "--profile", "camera.toml", "--format", "json", "night.mov")
	if code != exitMeasured || !strings.Contains(stdout, `"profile-unused"`) ||
		!strings.Contains(stdout, "not say its ISO") || !strings.Contains(stdout, `"file": "camera.toml"`) {
		t.Errorf("exit code %d, %s%s", code, stdout, stderr)
	}
	if err := os.Mkdir("own", 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, "own/config.toml", "profile = \"../camera.toml\"\n")
	var out, errs bytes.Buffer
	a := app{measure: fakeMeasure, version: "0.0-test", config: "own/config.toml", stdout: &out, stderr: &errs}
	if code := a.run(context.Background(), []string{"audit", "--format", "json", "night.mov"}); code != exitMeasured ||
		!strings.Contains(out.String(), `"profile-unused"`) {
		t.Errorf("exit code %d, %s%s", code, out.String(), errs.String())
	}
}
