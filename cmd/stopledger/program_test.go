package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
	"stopledger/report"
)

// program runs the real program.
func program(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(t.Context(), args, &o, &e)
	return code, o.String(), e.String()
}

// audited runs an audit with flags and reads its document.
func audited(t *testing.T, args ...string) (doc report.Document, code int, stderr string) {
	t.Helper()
	code, stdout, stderr := program(t, append([]string{"audit", "--format", "json"}, args...)...)
	read, err := report.ReadJSON(strings.NewReader(stdout))
	if err != nil {
		t.Fatalf("audit %q: %v; stderr %s", args, err, stderr)
	}
	return *read, code, stderr
}

// auditedClip audits one clip that must be measurable.
func auditedClip(t *testing.T, args ...string) report.Clip {
	t.Helper()
	doc, code, stderr := audited(t, args...)
	if code != exitMeasured || len(doc.Clips) != 1 || stderr != "" {
		t.Fatalf("audit %q: exit code %d, %d clips, stderr %s", args, code, len(doc.Clips), stderr)
	}
	return doc.Clips[0]
}

func curveNamed(t testing.TB, name string) *curve.Curve {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A take is a tiny clip, of a grey card that fills the frame but for a darker edge if no scene is
// named.
type take struct {
	curve  string
	stops  curve.Stops // over nominal
	frames int         // 0 means 4
	scene  func(width, height int) synth.Scene
	change func(*synth.Camera)
	how    synth.Encoding // H.264 if none is named
}

// Where a take's card is, well inside its edges.
const (
	takeWidth, takeHeight = 128, 96
	takeCard              = "32,24,64,48"
)

// record makes a take's file and returns what is true of it.
func (k take) record(t testing.TB, path string) synth.Truth {
	t.Helper()
	cam := synth.NewCamera(takeWidth, takeHeight, curveNamed(t, k.curve))
	cam.Sampling = synth.S420
	if k.how.Codec == "" {
		k.how.Codec = synth.H264
	}
	if strings.HasPrefix(string(k.how.Codec), "DNxHR") || strings.HasPrefix(string(k.how.Codec), "ProRes") {
		cam.Sampling = synth.S422
	}
	if k.change != nil {
		k.change(&cam)
	}
	if k.scene == nil {
		k.scene = cardOnly
	}
	shot := synth.Shot{Scene: k.scene(cam.Width, cam.Height), Seed: 7, Frames: max(k.frames, 4), Stops: k.stops}
	truth, err := synth.Record(path, cam, shot, k.how)
	if err != nil {
		t.Fatal(err)
	}
	return truth
}

func cardOnly(width, height int) synth.Scene {
	w, h := float64(width), float64(height)
	return synth.Scene{Name: "card", Parts: []synth.Part{
		synth.Fill{Light: synth.Grey(0.05)},
		synth.NewCard(geometry.Upright(w/8, h/8, w*3/4, h*3/4), curve.MidGrey),
	}}
}

// file records the take into a fresh folder.
func (k take) file(t testing.TB, name string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	k.record(t, path)
	return path
}

// finding returns the clip's first finding of an id.
func finding(c report.Clip, id advise.ID) (advise.Finding, bool) {
	for _, f := range c.Advice.Findings {
		if f.ID == id {
			return f, true
		}
	}
	return advise.Finding{}, false
}

// oneFailure checks that nothing was measured of one path, and that this is told in one line of
// stderr with every part.
func oneFailure(t *testing.T, parts []string, args ...string) {
	t.Helper()
	doc, code, stderr := audited(t, args...)
	if code != exitSomeFailed || len(doc.Clips) != 0 || len(doc.Failed) != 1 || strings.Count(stderr, "\n") != 1 {
		t.Errorf("audit %q: exit code %d, %d clips, %d failed, stderr %s", args, code, len(doc.Clips), len(doc.Failed),
			stderr)
	}
	for _, part := range parts {
		if !strings.Contains(stderr, part) {
			t.Errorf("audit %q: stderr %q does not say %q", args, stderr, part)
		}
	}
}
