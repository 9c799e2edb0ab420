package main

import (
	"bytes"
	"context"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/cmd/internal/audit"
	"stopledger/curve"
	"stopledger/decode/synth"
	"stopledger/report"
)

const hlgFile = "../../testdata/display/slog3-hlg.cube" // S-Log3 to HLG, 18 % grey at 38 %

// displayFile copies a display file into a folder of its own, where no clip lies.
func displayFile(t *testing.T, from string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "look.cube")
	if err := os.WriteFile(path, must(os.ReadFile(from)), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// middle returns the grey in the middle of a picture of a report.
func middle(t *testing.T, name string) int {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(must(os.ReadFile(filepath.Join("report", filepath.FromSlash(name))))))
	if err != nil {
		t.Fatal(err)
	}
	_, g, _, _ := img.At(img.Bounds().Dx()/2, img.Bounds().Dy()/2).RGBA()
	return int(g >> 8)
}

// TestDisplayFile: a clip a stop over is pulled to where HLG has 18 % grey, 38 % of its signal (Report
// ITU-R BT.2408), in figures and in pictures, which workers take that may read the file; its name stands
// on the page and stays there. Without the file it is the built-in rendering's 125.
func TestDisplayFile(t *testing.T) {
	hlg := displayFile(t, hlgFile)
	t.Chdir(t.TempDir())
	take{curve: "S-Log3", stops: 1, how: synth.Encoding{Codec: synth.ProRes422}}.record(t, "a.mov")
	args := []string{"--curve", "slog3", "--region", takeCard, "--out", "report", "a.mov"}
	plain := auditedClip(t, args...)
	if got := middle(t, plain.Pictures.After); plain.Advice.After.Display != nil || got < 123 || got > 127 {
		t.Errorf("the built-in rendering: %+v, code %d", plain.Advice.After.Display, got)
	}
	shown := auditedClip(t, append([]string{"--display", hlg}, args...)...)
	d := shown.Advice.After.Display
	if d == nil || d.File != hlg || math.Abs(float64(d.Grey)-38) > 1.5 || d.Domain != curve.CurveDomain ||
		shown.Advice.After.Ceiling != d.Ceiling || len(d.Digest) != 64 {
		t.Fatalf("%+v", d)
	}
	want := int(255 * d.Grey / 100)
	for range 2 {
		if got := middle(t, shown.Pictures.After); got < want-3 || got > want+3 {
			t.Errorf("grey shows as code %d, want about %d", got, want)
		}
		page := string(must(os.ReadFile(filepath.Join("report", report.ClipPage("a.mov")))))
		if n := strings.Count(page, "through look.cube"); n < 2 {
			t.Errorf("the page names the file %d times", n)
		}
		if code, _, stderr := program(t, "show", "report"); code != exitMeasured {
			t.Fatalf("show: %s", stderr)
		}
	}
	if !strings.Contains(shown.Advice.Summary, "Through look.cube grey then shows at 38 %") {
		t.Errorf("summary: %s", shown.Advice.Summary)
	}
}

// TestDisplayFileThatChanges: with another file, or other content, no clip is measured anew, and
// pictures and figures are.
func TestDisplayFileThatChanges(t *testing.T) {
	look := displayFile(t, hlgFile)
	t.Chdir(t.TempDir())
	take{curve: "S-Log3", stops: 1, how: synth.Encoding{Codec: synth.ProRes422}}.record(t, "a.mov")
	measured := 0
	audited := func() (grey curve.Percent, code int) {
		t.Helper()
		var out, said bytes.Buffer
		a := app{version: "0.0-test", stdout: &out, stderr: &said, measure: func(ctx context.Context, j audit.Job) (
			report.Clip, error) {
			if j.Kept == nil {
				measured++
			}
			return audit.Measure(ctx, j)
		}}
		if exit := a.run(t.Context(), strings.Fields("audit --format json --quiet --curve slog3 --region "+takeCard+
			" --display "+look+" --out report a.mov")); exit != exitMeasured {
			t.Fatalf("exit code %d: %s", exit, said.String())
		}
		doc := must(report.ReadJSON(&out))
		return doc.Clips[0].Advice.After.Display.Grey, middle(t, doc.Clips[0].Pictures.After)
	}
	grey, code := audited()
	if again, same := audited(); again != grey || same != code || measured != 1 {
		t.Errorf("again: %v and %d after %v and %d, measured %d times", again, same, grey, code, measured)
	}
	brighter := strings.Replace(string(must(os.ReadFile(look))), "LUT_3D_SIZE 17",
		"LUT_3D_SIZE 17\nDOMAIN_MAX 0.9 0.9 0.9", 1)
	if err := os.WriteFile(look, []byte(brighter), 0o600); err != nil {
		t.Fatal(err)
	}
	if other, shows := audited(); !(other > grey+3) || shows < code+8 || measured != 1 {
		t.Errorf("another content: %v and %d after %v and %d, measured %d times", other, shows, grey, code, measured)
	}
}

// TestCompareThroughADisplayFile: pictures of takes are shown through it, and the page says so.
func TestCompareThroughADisplayFile(t *testing.T) {
	look := displayFile(t, "../../testdata/display/slog3-hlg-video.cube")
	t.Chdir(t.TempDir())
	for name, stops := range map[string]curve.Stops{"a.mov": 0, "b.mov": 1} {
		take{curve: "S-Log3", stops: stops, how: synth.Encoding{Codec: synth.ProRes422}}.record(t, name)
	}
	code, _, stderr := program(t, "compare", "--quiet", "--curve", "slog3", "--region", takeCard, "--out", "report",
		"--display", look, "--domain", "video", "a.mov", "b.mov")
	if code != exitMeasured {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	f := must(os.Open("report/compare.json"))
	defer f.Close()
	for _, c := range must(report.ReadComparisonJSON(f)).Clips {
		d := c.Advice.After.Display
		if _, doubted := finding(c, advise.DisplayDoubt); doubted || math.Abs(float64(d.Grey)-38) > 1 {
			t.Errorf("%s: %+v, doubted %v", c.Path, d, doubted)
		}
		if got := middle(t, c.Pictures.After); got < 93 || got > 101 { // 0.38 x 255 is 96.9
			t.Errorf("%s: grey shows as code %d", c.Path, got)
		}
	}
	if page := string(must(os.ReadFile("report/compare.html"))); !strings.Contains(page, "through look.cube") {
		t.Error("the page does not name the file")
	}
}

// TestDisplayFlags: what a file expects is the target where none is named; a default of the user's own is
// taken, and none goes before it; what does not go together is refused.
func TestDisplayFlags(t *testing.T) {
	look := displayFile(t, hlgFile)
	t.Chdir(t.TempDir())
	take{curve: "S-Log3", stops: 1, how: synth.Encoding{Codec: synth.ProRes422}}.record(t, "a.mov")
	for _, tc := range []struct {
		defaults, flags string
		target          curve.Stops
		expects         curve.Stops
		none            bool
	}{
		{"", "--display FILE", 0, 0, false},
		{"", "--display FILE --expects 1", 1, 1, false},
		{"", "--display FILE --expects 1 --target 0.5", 0.5, 1, false},
		{"display = 'FILE'\ntarget = 0.5", "", 0.5, 0, false},
		{"display = 'FILE'\ntarget = 0.5", "--expects 1", 1, 1, false},
		{"display = 'FILE'", "--display none", 0, 0, true},
	} {
		args := strings.Fields("audit --format json --curve slog3 --region " + takeCard + " " + tc.flags + " a.mov")
		for i := range args {
			args[i] = strings.ReplaceAll(args[i], "FILE", look)
		}
		code, stdout, stderr := withDefaults(t, strings.ReplaceAll(tc.defaults, "FILE", look), args...)
		if code != exitMeasured {
			t.Fatalf("%+v: exit code %d: %s", tc, code, stderr)
		}
		doc := must(report.ReadJSON(strings.NewReader(stdout)))
		s, d := doc.Settings, doc.Clips[0].Advice.After.Display
		if s.Target != tc.target || (d == nil) != tc.none || (s.Display == nil) != tc.none {
			t.Errorf("%+v: target %v, display %+v", tc, s.Target, s.Display)
		} else if d != nil && (d.Expects != tc.expects || s.Display.Path != look || s.Display.Digest != d.Digest) {
			t.Errorf("%+v: %+v", tc, d)
		}
	}
	for args, says := range map[string]string{
		"--domain video":               "--domain says what a display file takes: name one with --display",
		"--expects 1":                  "--expects says what a display file was made for: name one with --display",
		"--display " + look + "x":      "--display: display file " + look + "x: there is no such file",
		"--display a.mov":              "--display: display file a.mov: is neither a .cube nor a .clf file",
		"--display x --domain log":     "--display: display file x: there is no such file",
		"--expects far --display none": `--expects cannot be "far": it takes stops over nominal from -12 to 12`,
		"--domain log --display none":  `--domain cannot be "log": it takes curve, video`,
	} {
		if code, _, stderr := program(t, append([]string{"audit", "a.mov"}, strings.Fields(args)...)...); code != exitUsage ||
			!strings.Contains(stderr, says) {
			t.Errorf("%s: exit code %d, %q", args, code, stderr)
		}
	}
}
