package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/analyze/rule"
	"stopledger/cmd/internal/rules"
	"stopledger/decode/metadata/build"
	"stopledger/report"
)

func writeRules(t *testing.T, text string) string {
	t.Helper()
	build.WriteFile(t, "show.toml", []byte(text))
	return "show.toml"
}

// The example that help prints is a file of rules.
func TestHelpOfRules(t *testing.T) {
	_, stdout, _ := call(t, fakeMeasure, "help", "rules")
	_, example, found := strings.Cut(stdout, "in TOML:\n\n")
	if _, err := rules.Parse("show.toml", []byte(example)); err != nil || !found || example == "" {
		t.Errorf("%v: %s", err, stdout)
	}
	for _, line := range strings.Split(stdout, "\n") {
		if len(line) > 100 {
			t.Errorf("%d columns: %s", len(line), line)
		}
	}
}

// A night's clips with a carried grey, one unreadable file, a show's rules and the gate, together.
func TestRulesWithHeldGreyAndGate(t *testing.T) {
	t.Chdir(t.TempDir())
	heldDay(t, 2)
	build.WriteFile(t, "day/3-bad.mov", nil)
	args := []string{"--hold-grey", "--gate", "--out", "report", "--no-pictures", "day"}
	for _, c := range []struct {
		rules string
		code  int
		ids   string // of rules, of both clips
	}{
		{"intended = 2\ntolerance = 0.5\ncurve = ['S-Log3']\niso = [800]", exitSomeFailed, ""},
		{"intended = 2\ntolerance = 0.5\niso = [3200]\n[folder.night]\niso = [800]", exitAlarm, "rule-iso rule-iso"},
		{"intended = 2\niso = [3200]\n[folder.day]\niso = [800]", exitSomeFailed, ""},
		{"intended = 2\niso = [3200]\nlevels = { rule-iso = 'caution' }", exitSomeFailed, "rule-iso rule-iso"},
		{"intended = 0.5\ntolerance = 0.5", exitAlarm, "rule-placement rule-placement"},
		{"shutter = ['180 deg']", exitSomeFailed, ""},
		{"shutter = ['90 deg']", exitAlarm, "rule-shutter rule-shutter"},
	} {
		doc, code, stderr := audited(t, append([]string{"--rules", writeRules(t, c.rules)}, args...)...)
		if code != c.code || len(doc.Clips) != 2 || len(doc.Failed) != 1 {
			t.Fatalf("%s: exit code %d, want %d: %s", c.rules, code, c.code, stderr)
		}
		var ids []string
		for _, clip := range doc.Clips {
			for _, f := range clip.Advice.Findings {
				if strings.HasPrefix(string(f.ID), "rule-") {
					ids = append(ids, string(f.ID))
					if !strings.Contains(f.Text, `"show"`) && !strings.Contains(f.Text, `"night"`) {
						t.Errorf("the rule is not named: %s", f.Text)
					}
				}
			}
			if clip.Advice.NeedsPerson() != (c.code == exitAlarm) {
				t.Errorf("%s: %+v", c.rules, clip.Advice.Findings)
			}
		}
		if got := strings.Join(ids, " "); got != c.ids {
			t.Errorf("%s: findings %q", c.rules, got)
		}
		if doc.Clips[1].Placement.Carried != doc.Clips[0].Path {
			t.Errorf("%+v", doc.Clips[1].Placement)
		}
		if set := doc.Settings.Rules; set == nil || set.File != "show.toml" || set.Sections[0].Name != "show" {
			t.Errorf("rules in the document: %+v", set)
		}
	}
}

// Flags go before rules: a target and an offset named on the command line hold for all clips.
func TestFlagsBeforeRules(t *testing.T) {
	t.Chdir(t.TempDir())
	heldDay(t, 2)
	file := writeRules(t, "intended = 2\ntarget = 0.5\n[folder.day]\ntarget = 1\ntolerance = 0.3")
	for _, c := range []struct {
		args             []string
		intended, offset float64
		broken           bool
	}{
		{nil, 2, -1, false},
		{[]string{"--target", "0"}, 2, -2, false},
		{[]string{"--intended", "1"}, 1, -1, true},
		{[]string{"--intended", "1", "--target", "0"}, 1, -2, true},
	} {
		clip := auditedClip(t, append(c.args, "--rules", file, "day/1-card.mov")...)
		a := clip.Advice
		_, broken := finding(clip, advise.RulePlacement)
		if float64(*a.Intended) != c.intended || a.Action != advise.Pull || broken != c.broken ||
			float64(a.Offset)-c.offset > 0.1 || float64(a.Offset)-c.offset < -0.1 {
			t.Errorf("%q: intended %v, offset %v, findings %+v", c.args, *a.Intended, a.Offset, a.Findings)
		}
		if a.Target == nil || math.Abs(float64(*a.Target-2)-c.offset) > 1e-9 {
			t.Errorf("%q: target %v", c.args, a.Target)
		}
		if strings.Join(a.Rules, " ") != "show day" {
			t.Errorf("%q", a.Rules)
		}
	}
}

// Takes exposed over on purpose are compared as ever, and each is judged by its rules.
func TestCompareAsIntended(t *testing.T) {
	t.Chdir(t.TempDir())
	heldDay(t, 2)
	args := []string{"compare", "--format", "json", "--hold-grey", "day/1-card.mov", "day/2-next.mov"}
	_, plain, _ := program(t, args...)
	code, stdout, stderr := program(t, append(args, "--intended", "2", "--gate", "--rules",
		writeRules(t, "tolerance = 0.5"))...)
	var before, after report.Comparison
	if err := json.Unmarshal([]byte(plain), &before); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(stdout), &after); err != nil || code != exitMeasured {
		t.Fatalf("exit code %d, %v: %s", code, err, stderr)
	}
	for i, clip := range after.Clips {
		if !strings.Contains(clip.Advice.Summary, "as intended (2.0)") || clip.Advice.Worst() == rule.Alarm ||
			clip.Advice.Offset != before.Clips[i].Advice.Offset {
			t.Errorf("%s %+v", clip.Advice.Summary, clip.Advice.Findings)
		}
	}
	if before.Recommendation.Reason != after.Recommendation.Reason {
		t.Errorf("%s; %s", before.Recommendation.Reason, after.Recommendation.Reason)
	}
}

// Rules hold wherever the program is started from: folders are matched by whole paths.
func TestRulesFromWithin(t *testing.T) {
	t.Chdir(t.TempDir())
	heldDay(t, 2)
	file, err := filepath.Abs(writeRules(t, "target = 0\n[folder.day]\ntarget = 1"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chdir("day"); err != nil {
		t.Fatal(err)
	}
	if a := auditedClip(t, "--rules", file, "1-card.mov").Advice; len(a.Rules) != 2 || a.Stops > 1.1 {
		t.Errorf("%q, %v", a.Rules, a.Stops)
	}
}
