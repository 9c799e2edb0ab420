package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
	"stopledger/report"
)

// auditedByPath runs an audit that must succeed.
func auditedByPath(t *testing.T, args ...string) map[string]report.Clip {
	t.Helper()
	doc, code, stderr := audited(t, args...)
	if code != exitMeasured {
		t.Fatalf("audit %q: exit code %d: %s", args, code, stderr)
	}
	clips := map[string]report.Clip{}
	for _, c := range doc.Clips {
		clips[filepath.ToSlash(c.Path)] = c
	}
	return clips
}

// A day's clips after a card: grey is carried to those that have none, were shot in the same folder
// and say the same of camera and exposure.
func TestHoldGrey(t *testing.T) {
	t.Chdir(t.TempDir())
	settings := func(iso int) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			s := build.FrameSettings(build.LabelSLog3, iso)
			build.WriteFile(t, path, build.WithTrack(t, build.ReadFile(t, path), s, s, s, s))
		}
	}
	changing := func(t *testing.T, path string) {
		first, last := build.FrameSettings(build.LabelSLog3, 800), build.FrameSettings(build.LabelSLog3, 1600)
		build.WriteFile(t, path, build.WithTrack(t, build.ReadFile(t, path), first, last))
	}
	at := func(scene func(w, h int) synth.Scene, name string, stops curve.Stops) take {
		return take{curve: name, stops: stops, scene: scene, how: synth.Encoding{Codec: synth.ProRes422},
			change: func(c *synth.Camera) { c.Width, c.Height = 480, 270 }}
	}
	card, wall := at(synth.Wheelhouse, "S-Log3", 1.2), at(synth.Bulkhead, "S-Log3", 1.2)
	truths := map[string]curve.Stops{}
	for _, c := range []struct {
		path string
		take take
		add  func(*testing.T, string)
	}{
		{"a/card1.mov", card, settings(800)},
		{"a/next2.mov", wall, settings(800)},
		{"a/next3-more-iso.mov", wall, settings(1600)},
		{"a/next4-changed.mov", wall, changing},
		{"a/next5-silent.mov", wall, build.AddMeta("s-log3")},
		{"a/next6-other-camera.mov", wall, build.AddAll(settings(800), build.AddMeta("s-log3"))},
		{"a/next7-other-curve.mov", at(synth.Bulkhead, "V-Log", 1.2), func(t *testing.T, path string) {
			s := build.FrameSettings(build.LabelVLog, 800)
			build.WriteFile(t, path, build.WithTrack(t, build.ReadFile(t, path), s, s))
		}},
		{"b/next8-other-folder.mov", wall, settings(800)},
		{"c/card1.mov", at(synth.Wheelhouse, "S-Log3", 0.3), settings(800)},
		{"c/next2.mov", at(synth.Bulkhead, "S-Log3", 0.3), settings(800)},
	} {
		if err := os.MkdirAll(filepath.Dir(c.path), 0o755); err != nil {
			t.Fatal(err)
		}
		truths[c.path] = c.take.record(t, c.path).Placement
		c.add(t, c.path)
	}
	for _, jobs := range []string{"1", "4"} {
		clips := auditedByPath(t, "--hold-grey", "--jobs", jobs, ".")
		for path, from := range map[string]string{"a/next2.mov": "a/card1.mov", "c/next2.mov": "c/card1.mov"} {
			card, next := clips[from].Placement, clips[path].Placement
			if card.Method != "card" || math.Abs(float64(card.Stops-truths[from])) > 0.05 {
				t.Errorf("%s: %+v, placed at %+.2f", from, card, truths[from])
			}
			if next.Carried != from || next.Method != "card" || next.Stops != card.Stops || next.Low != card.Low ||
				next.High != card.High || next.Weak || next.Region != nil {
				t.Errorf("%s jobs: %s has %+v, the card %+v", jobs, path, next, card)
			}
			if math.Abs(float64(next.Code-card.Code)) > 0.01 || curve.Finite(next.Confidence) || curve.Finite(next.Drift) {
				t.Errorf("%s jobs: %s: code %g of %g, confidence %v, drift %v", jobs, path, next.Code, card.Code, next.Confidence,
					next.Drift)
			}
			if c := clips[path]; !strings.Contains(c.Advice.Summary, "Grey carried from card1.mov") ||
				c.Advice.Stops != clips[from].Advice.Stops {
				t.Errorf("%s jobs: %s: %s", jobs, path, c.Advice.Summary)
			}
		}
		for path, c := range clips {
			if path != "a/next2.mov" && path != "c/next2.mov" && c.Placement.Carried != "" {
				t.Errorf("%s jobs: grey was carried to %s", jobs, path)
			}
		}
	}
	for path, c := range auditedByPath(t, ".") {
		if c.Placement.Carried != "" {
			t.Errorf("grey was carried to %s unasked", path)
		}
	}
}
