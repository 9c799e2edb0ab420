package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/cmd/internal/disturb"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
	"stopledger/testdata/footage"
)

// With --gate an alarm is exit code 4, whatever failed beside it.
func TestGate(t *testing.T) {
	dir := t.TempDir()
	dark, right, bad := filepath.Join(dir, "dark.mp4"), filepath.Join(dir, "right.mp4"), filepath.Join(dir, "bad.mp4")
	take{curve: "S-Log3", stops: -3}.record(t, dark)
	take{curve: "S-Log3"}.record(t, right)
	build.WriteFile(t, bad, nil)
	for _, c := range []struct {
		args []string
		code int
	}{
		{[]string{"--gate", dark, right}, exitAlarm},
		{[]string{"--gate", right}, exitMeasured},
		{[]string{dark, right}, exitMeasured},
		{[]string{"--gate", dark, bad}, exitAlarm},
	} {
		doc, code, stderr := audited(t, append([]string{"--curve", "slog3", "--region", takeCard}, c.args...)...)
		if code != c.code {
			t.Errorf("%q: exit code %d, want %d: %s", c.args, code, c.code, stderr)
		}
		for _, clip := range doc.Clips {
			if clip.Advice.NeedsPerson() != (clip.Path == dark) {
				t.Errorf("%s: findings %+v", clip.Path, clip.Advice.Findings)
			}
		}
	}
}

// Groups are taken from a long clip unless every frame is asked for.
func TestEveryFrame(t *testing.T) {
	const frames = 120 // more than the groups take
	path := take{curve: "S-Log3", stops: 0.5, frames: frames}.file(t, "long.mp4")
	some := auditedClip(t, "--curve", "slog3", "--region", takeCard, path)
	every := auditedClip(t, "--curve", "slog3", "--region", takeCard, "--every-frame", path)
	if s := some.Sampling; s.Mode != "groups" || s.FramesMeasured >= frames || s.FramesMeasured == 0 || s.Groups < 2 {
		t.Errorf("groups: %+v", s)
	}
	if s := every.Sampling; s.Mode != "every" || s.FramesMeasured != frames || s.FramesLost != 0 {
		t.Errorf("every frame: %+v", s)
	}
	if d := every.Placement.Stops - some.Placement.Stops; math.Abs(float64(d)) > placementWithin {
		t.Errorf("the two differ by %+.3f stops", d)
	}
}

// The correction brings grey to the target.
func TestTarget(t *testing.T) {
	path := take{curve: "S-Log3", stops: 1.5}.file(t, "a.mp4")
	for _, c := range []struct {
		target string
		action advise.Action
		stops  float64
	}{{"0", "pull", 1.5}, {"1", "pull", 0.5}, {"1.5", "hold", 0}, {"2.5", "lift", 1}, {"-1", "pull", 2.5}} {
		a := auditedClip(t, "--curve", "slog3", "--region", takeCard, "--target", c.target, path).Advice
		if a.Action != c.action || math.Abs(float64(a.Stops)-c.stops) > placementWithin {
			t.Errorf("to %s: %s %.3f, want %s %g", c.target, a.Action, a.Stops, c.action, c.stops)
		}
	}
}

// --out writes the whole report, and show writes its pages anew, the same.
func TestReportFolder(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.MkdirAll("day/b", 0o755); err != nil {
		t.Fatal(err)
	}
	for i, path := range []string{"day/A001.mp4", "day/b/A001.mp4", "day/b/A002.mp4"} {
		take{curve: "V-Log", stops: curve.Stops(i) / 2}.record(t, path)
	}
	build.WriteFile(t, "day/bad.mov", nil)
	doc, code, stderr := audited(t, "--curve", "vlog", "--region", takeCard, "--out", "report", "day")
	if code != exitSomeFailed || len(doc.Clips) != 3 {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	before := must(disturb.ReadReport("report"))
	for _, name := range []string{"audit.json", "audit.csv", "audit.txt", "index.html"} {
		if len(before[name]) == 0 {
			t.Errorf("%s is missing or empty", name)
		}
	}
	pages := 0
	for name := range before {
		if strings.HasSuffix(name, ".html") {
			pages++
			if err := os.Remove(filepath.Join("report", name)); err != nil {
				t.Fatal(err)
			}
		}
	}
	if pages < 1+len(doc.Clips) {
		t.Errorf("%d pages for %d clips", pages, len(doc.Clips))
	}
	for _, c := range doc.Clips {
		if c.Pictures == nil || len(before[c.Pictures.Recorded]) == 0 || len(before[c.Pictures.StopMap]) == 0 {
			t.Errorf("%s: pictures %+v", c.Path, c.Pictures)
		}
	}
	if code, _, stderr := program(t, "show", "report"); code != exitMeasured || stderr != "" {
		t.Fatalf("show: exit code %d: %s", code, stderr)
	}
	after := must(disturb.ReadReport("report"))
	for name, content := range before {
		if after[name] != content {
			t.Errorf("%s is not as it was", name)
		}
	}
	if len(after) != len(before) {
		t.Errorf("%d files, %d before", len(after), len(before))
	}
	if !strings.Contains(before["audit.txt"], "not measured: day/bad.mov: the file is empty") {
		t.Errorf("the text leaves the failure out:\n%s", before["audit.txt"])
	}
}

// Numbered pictures are one clip, named by the first, by a pattern or by their folder; they carry no
// metadata, so the curve must be named.
func TestNumberedPicturesAreMeasured(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.Mkdir("shot", 0o755); err != nil {
		t.Fatal(err)
	}
	truth := take{curve: "S-Log3", stops: 1, how: synth.Encoding{Codec: synth.DPX},
		change: func(c *synth.Camera) { c.Sampling, c.Range = synth.RGB, curve.Full }}.record(t, "shot/a.%04d.dpx")
	for _, path := range []string{"shot/a.0000.dpx", "shot/a.%04d.dpx", "shot"} {
		clip := auditedClip(t, "--curve", "slog3", "--region", takeCard, path)
		if clip.Path != "shot/a.[0000-0003].dpx" || clip.Frames != 4 || clip.Container != "image sequence" ||
			clip.Range.Value != "full" {
			t.Errorf("%s: %s, %d frames, %s, %v", path, clip.Path, clip.Frames, clip.Container, clip.Range)
		}
		if math.Abs(float64(clip.Placement.Stops-truth.Placement)) > placementWithin {
			t.Errorf("%s: grey at %+.3f stops, recorded at %+.3f", path, clip.Placement.Stops, truth.Placement)
		}
		if f, told := finding(clip, "metadata-damaged"); told {
			t.Errorf("%s: %+v", path, f)
		}
		oneFailure(t, []string{"no log curve is named in the file; name it with --curve"}, path)
	}
}

// Real phone clips and one of an archive: curves, ranges and frames as testdata/footage/README.md
// has them.
func TestRealVideo(t *testing.T) {
	for _, c := range []struct {
		file, curve string
		frames      int
	}{{"phone-rooftops-hlg-hevc10-editlist.mp4", "HLG", 77}, {"rooftops-pq-hevc10.mp4", "PQ", 28},
		{"phone-rooftops-hlg-cut.mov", "HLG", 15}, {"rooftops-pq-cut.mp4", "PQ", 10}} {
		t.Run(c.file, func(t *testing.T) {
			clip := auditedClip(t, "--grey", "scene", footage.Path(t, "video/"+c.file))
			if clip.Curve.Name != c.curve || clip.Curve.Origin != "transfer-tag" || clip.Frames != c.frames ||
				clip.Sampling.FramesLost > 0 ||
				clip.Range != (metadata.Value{Value: "narrow", Origin: "tag"}) ||
				clip.Matrix != (metadata.Value{Value: "bt2020", Origin: "tag"}) {
				t.Errorf("%s: %+v, %d frames, %v, %v, %+v", c.file, clip.Curve, clip.Frames, clip.Range, clip.Matrix, clip.Sampling)
			}
			for _, id := range []advise.ID{advise.CurveDoubt, advise.RangeDoubt, advise.MetadataDamaged} {
				if f, said := finding(clip, id); said {
					t.Errorf("%s: %+v", c.file, f)
				}
			}
		})
	}
	oneFailure(t, []string{"no log curve is named"}, footage.Path(t, "video/roadtrip-vp9-10bit.webm"))
}
