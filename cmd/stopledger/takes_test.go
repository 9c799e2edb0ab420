package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/cmd/internal/disturb"
	"stopledger/curve"
	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
	"stopledger/report"
)

// Tolerances of a comparison of two takes without loss.
const (
	differenceWithin = 0.05 // stops, of two placements
	snrWithin        = 0.5  // dB, of a difference; its 95 % interval is 0.31 dB either way here
)

// testTiles records the camera test, tiles in half stops, and returns the region of a tile.
func testTiles(t *testing.T, path string, stops curve.Stops, change func(*synth.Camera)) (truth synth.Truth,
	grey string) {
	t.Helper()
	cam := synth.NewCamera(320, 192, curveNamed(t, "S-Log3"))
	if change != nil {
		change(&cam)
	}
	shot := synth.Shot{Scene: synth.TestTiles(cam.Width, cam.Height), Seed: 11, Frames: 8, Stops: stops}
	truth, err := synth.Record(path, cam, shot, synth.Encoding{Codec: synth.FFV1,
		Metadata: map[string]string{"com.atomos.hdr.gamma": "SLog3"}})
	if err != nil {
		t.Fatal(err)
	}
	tile, ok := truth.Region("+0 stops")
	if !ok {
		t.Fatal("no tile of grey")
	}
	r := tile.Rect(0)
	return truth, fmt.Sprintf("%d,%d,%d,%d", r.X, r.Y, r.W, r.H)
}

// snrAt is the true SNR in dB of a tone so many stops from grey.
func snrAt(truth synth.Truth, scene curve.Stops) float64 {
	light := (truth.Placement + scene).Light()
	return 20 * math.Log10(float64(light/truth.SigmaLinear(light)))
}

// Two takes, nominal and 1.65 stops over: how they differ is how they were made.
func TestCompareTakes(t *testing.T) {
	const over = 1.65
	dir := t.TempDir()
	nominal, brighter := filepath.Join(dir, "nominal.mkv"), filepath.Join(dir, "over.mkv")
	first, grey := testTiles(t, nominal, 0, nil)
	second, _ := testTiles(t, brighter, over, nil)
	out := filepath.Join(dir, "report")
	code, stdout, stderr := program(t, "compare", "--format", "json", "--region", grey, "--out", out, nominal, brighter)
	var c report.Comparison
	if err := json.Unmarshal([]byte(stdout), &c); code != exitMeasured || err != nil || stderr != "" || len(c.Takes) != 2 {
		t.Fatalf("exit code %d, %v, %d takes: %s", code, err, len(c.Takes), stderr)
	}
	seen := 0
	for _, f := range c.Takes[1].Figures {
		switch {
		case f.Name == "placement":
			seen++
			if f.Difference == nil || math.Abs(float64(f.Difference.Value-over)) > differenceWithin || !f.Difference.Told {
				t.Errorf("placement differs by %+v, want %+.2f", f.Difference, over)
			}
		case f.Name == "snr" && f.SceneStops != nil && *f.SceneStops == -4:
			seen++
			want := snrAt(second, -4) - snrAt(first, -4)
			if f.Difference == nil || math.Abs(float64(f.Difference.Value)-want) > snrWithin || !f.Difference.Told {
				t.Errorf("SNR at scene -4 differs by %+v dB, want %+.2f", f.Difference, want)
			}
			if f.Value == nil || math.Abs(float64(f.Value.Value)-snrAt(second, -4)) > snrWithin {
				t.Errorf("SNR at scene -4 is %+v dB, want %+.2f", f.Value, snrAt(second, -4))
			}
		}
	}
	if seen != 2 {
		t.Errorf("%d of 2 figures are there", seen)
	}
	if a, b := c.Clips[0].Pictures, c.Clips[1].Pictures; a == nil || b == nil || len(a.Strips) == 0 ||
		len(b.Strips) == 0 || a.Strips[0].Region != b.Strips[0].Region {
		t.Errorf("shadows are not enlarged in the same place: %+v, %+v", a, b)
	}
	for _, name := range []string{"audit.json", "audit.csv", "audit.txt", "compare.json", "compare.csv", "compare.txt",
		"compare.html", "index.html"} {
		if s, err := os.Stat(filepath.Join(out, name)); err != nil || s.Size() == 0 {
			t.Errorf("%s: %v", name, err)
		}
	}
	before := must(disturb.ReadReport(out))
	if before["compare.json"] != stdout {
		t.Error("compare.json is not what was printed")
	}
	if code, _, stderr := program(t, "show", out); code != exitMeasured || stderr != "" {
		t.Errorf("show: exit code %d: %s", code, stderr)
	}
	for name, content := range must(disturb.ReadReport(out)) {
		if before[name] != content {
			t.Errorf("%s is not shown as it was", name)
		}
	}
	_, text, _ := program(t, "compare", "--region", grey, nominal, brighter)
	if !strings.Contains(text, "+1.65") {
		t.Errorf("text does not tell the difference:\n%s", text)
	}
}

// A comparison with a clip that fails holds the others and names the one.
func TestCompareWithABadClip(t *testing.T) {
	dir := t.TempDir()
	a, b, bad := filepath.Join(dir, "a.mp4"), filepath.Join(dir, "b.mp4"), filepath.Join(dir, "bad.mp4")
	take{curve: "V-Log"}.record(t, a)
	take{curve: "V-Log", stops: 1}.record(t, b)
	build.WriteFile(t, bad, nil)
	code, stdout, stderr := program(t, "compare", "--format", "json", "--curve", "vlog", "--region", takeCard, a, bad, b)
	var c report.Comparison
	if err := json.Unmarshal([]byte(stdout), &c); code != exitSomeFailed || err != nil || len(c.Takes) != 2 ||
		len(c.Failed) != 1 || c.Failed[0].Path != bad {
		t.Errorf("exit code %d, %v, %+v", code, err, c.Failed)
	}
	if want := "not measured: " + bad + ": the file is empty; copy it again from the card\n"; stderr != want {
		t.Errorf("stderr %q, want %q", stderr, want)
	}
}
