package main

import (
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
