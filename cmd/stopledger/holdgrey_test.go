package main

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze"
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
			s := frameSettings(labelSLog3, iso)
			mustWrite(t, path, withTrack(t, mustRead(t, path), s, s, s, s))
		}
	}
	changing := func(t *testing.T, path string) {
		mustWrite(t, path, withTrack(t, mustRead(t, path), frameSettings(labelSLog3, 800), frameSettings(labelSLog3, 1600)))
	}
	at := func(scene func(w, h int) synth.Scene, curve string, stops float64) take {
		return take{curve: curve, stops: stops, scene: scene, how: synth.Encoding{Codec: synth.ProRes422},
			change: func(c *synth.Camera) { c.Width, c.Height = 480, 270 }}
	}
	card, wall := at(synth.Wheelhouse, "S-Log3", 1.2), at(synth.Bulkhead, "S-Log3", 1.2)
	truths := map[string]float64{}
	for _, c := range []struct {
		path string
		take take
		add  func(*testing.T, string)
	}{
		{"a/card1.mov", card, settings(800)},
		{"a/next2.mov", wall, settings(800)},
		{"a/next3-more-iso.mov", wall, settings(1600)},
		{"a/next4-changed.mov", wall, changing},
		{"a/next5-silent.mov", wall, addMeta("s-log3")},
		{"a/next6-other-camera.mov", wall, all(settings(800), addMeta("s-log3"))},
		{"a/next7-other-curve.mov", at(synth.Bulkhead, "V-Log", 1.2), func(t *testing.T, path string) {
			s := frameSettings(labelVLog, 800)
			mustWrite(t, path, withTrack(t, mustRead(t, path), s, s))
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
			if card.Method != "card" || math.Abs(card.Stops-truths[from]) > 0.05 {
				t.Errorf("%s: %+v, placed at %+.2f", from, card, truths[from])
			}
			if next.Carried != from || next.Method != "card" || next.Stops != card.Stops || next.Low != card.Low || next.High != card.High || next.Weak || next.Region != nil {
				t.Errorf("%s jobs: %s has %+v, the card %+v", jobs, path, next, card)
			}
			if math.Abs(next.Code-card.Code) > 0.01 || next.Confidence != nil || next.DriftStops != nil {
				t.Errorf("%s jobs: %s: code %g of %g, confidence %v, drift %v", jobs, path, next.Code, card.Code, next.Confidence, next.DriftStops)
			}
			if c := clips[path]; !strings.Contains(c.Advice.Summary, "Grey carried from card1.mov") || c.Advice.Stops != clips[from].Advice.Stops {
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

// A carried grey lies at the code of the clip that it is carried to.
func TestCarriedGreyAtAnotherDepth(t *testing.T) {
	iso := 800.0
	camera := &report.Camera{ISO: &iso}
	card := &report.Clip{Path: "day/card.mov", Camera: camera, Curve: report.Curve{Name: "S-Log3"},
		Placement: &report.Placement{Stops: 1, Low: 0.9, High: 1.1, Method: "card", Reflectance: 0.36, Code: 500}}
	held := auditSettings{HeldGrey: func(context.Context) *report.Clip { return card }}
	for _, bits := range []int{8, 10, 12} {
		r := &analyze.Result{Placement: &analyze.Placement{Weak: true}}
		r.Reading.Curve, r.Reading.Bits = curveNamed(t, "slog3"), bits
		p := carriedGrey(t.Context(), r, "day/next.mov", camera, held)
		if want := r.Reading.CodeOf(0.72); p.Carried != card.Path || math.Abs(p.Code-want) > 1e-9 {
			t.Errorf("%d bits: code %g, want %g", bits, p.Code, want)
		}
	}
}

func TestSameExposure(t *testing.T) {
	v := func(f float64) *float64 { return &f }
	full := func() *report.Camera {
		return &report.Camera{Make: "Sony", Model: "FX3", ISO: v(800), ExposureIndex: v(640), GainDB: v(-3), ShutterS: v(0.02), ShutterDeg: v(180),
			IrisF: v(2.8), IrisT: v(3), NDStops: v(2), CaptureFPS: v(25), WhiteBalanceK: v(5600)}
	}
	if !sameExposure(full(), full()) {
		t.Error("the same settings count as others")
	}
	for name, change := range map[string]func(*report.Camera){
		"make": func(c *report.Camera) { c.Make = "Canon" }, "model": func(c *report.Camera) { c.Model = "FX6" },
		"another camera of that model": func(c *report.Camera) { c.Serial = "0012346" },
		"ISO":                          func(c *report.Camera) { c.ISO = v(1600) }, "no ISO": func(c *report.Camera) { c.ISO = nil },
		"exposure index": func(c *report.Camera) { c.ExposureIndex = v(800) }, "gain": func(c *report.Camera) { c.GainDB = v(0) },
		"shutter": func(c *report.Camera) { c.ShutterS = v(0.01) }, "shutter angle": func(c *report.Camera) { c.ShutterDeg = v(90) },
		"iris": func(c *report.Camera) { c.IrisF = v(4) }, "T-stop": func(c *report.Camera) { c.IrisT = v(4) },
		"ND": func(c *report.Camera) { c.NDStops = v(0) }, "rate": func(c *report.Camera) { c.CaptureFPS = v(50) },
		"changed while recording": func(c *report.Camera) { c.Changes = []string{"ISO 800 at first, ISO 1600 at last"} },
	} {
		other := full()
		change(other)
		if sameExposure(full(), other) || sameExposure(other, full()) {
			t.Errorf("%s makes no difference", name)
		}
	}
	warmer := full()
	warmer.WhiteBalanceK = v(3200)
	if !sameExposure(full(), warmer) {
		t.Error("white balance counts as exposure")
	}
	silent := &report.Camera{Make: "Sony", Model: "FX3", CaptureFPS: v(25)}
	if sameExposure(silent, silent) || sameExposure(nil, full()) || sameExposure(nil, nil) {
		t.Error("clips that say nothing of exposure count as exposed alike")
	}
}
