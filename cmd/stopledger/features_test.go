package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
	"stopledger/report"
	"stopledger/report/picture"
)

// What two features of the program do together.

// heldDay records a card and a clip after it without one, both over nominal and with the same
// settings, below the working folder.
func heldDay(t *testing.T, over curve.Stops) {
	t.Helper()
	for path, scene := range map[string]func(w, h int) synth.Scene{
		"day/1-card.mov": cardBeforeBands, "day/2-next.mov": bands,
	} {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		take{curve: "S-Log3", stops: over, scene: scene, frames: 8, how: synth.Encoding{Codec: synth.ProRes422},
			change: func(c *synth.Camera) { c.Width, c.Height = 480, 270 }}.record(t, path)
		s := build.FrameSettings(build.LabelSLog3, 800)
		build.WriteFile(t, path, build.WithTrack(t, build.ReadFile(t, path), s, s, s, s))
	}
}

// bands is a scene of five upright bands, the widest four stops under grey, and no card.
func bands(width, height int) synth.Scene {
	scene := synth.Scene{Name: "bands"}
	x, wide := 0.0, 0.4
	for _, stops := range []curve.Stops{-4, 1.5, -1.5, -6, -2.5} {
		place := geometry.Upright(x*float64(width), 0, wide*float64(width), float64(height))
		scene.Parts = append(scene.Parts, synth.NewPanel(place, synth.Grey(stops.Light()), 0))
		x, wide = x+wide, 0.15
	}
	return scene
}

// cardBeforeBands is the same scene with a card held into it.
func cardBeforeBands(width, height int) synth.Scene {
	scene, w, h := bands(width, height), float64(width), float64(height)
	scene.Parts = append(scene.Parts, synth.NewCard(geometry.Upright(0.64*w, 0.3*h, 0.26*w, 0.46*h), curve.MidGrey))
	return scene
}

// The enlarged shadows of a clip that grey is carried to lie near scene -4 stops from that grey,
// and their figure is the one that the clip's own table has for their tone.
func TestStripsOfCarriedGrey(t *testing.T) {
	t.Chdir(t.TempDir())
	heldDay(t, 2)
	next := auditedByPath(t, "--hold-grey", "--out", "report", "day")["day/2-next.mov"]
	if next.Placement.Carried != "day/1-card.mov" || next.Pictures == nil || len(next.Pictures.Strips) < 2 {
		t.Fatalf("placement %+v, pictures %+v", next.Placement, next.Pictures)
	}
	for _, strip := range next.Pictures.Strips {
		scene := toneIn(t, next, strip.Region) - next.Placement.Stops
		if math.Abs(float64(scene+4)) > 0.5 {
			t.Errorf("%s: enlarged at scene %+.2f stops", strip.Name, scene)
		}
		under := curve.Stops(math.Floor(float64(scene)))
		want := 0.0 // on the line between the two tones of the table
		for _, g := range next.Noise.Graded {
			for _, tone := range g.Tones {
				if off := math.Abs(float64(tone.Scene - scene)); report.SameChange(g.Stops, strip.Stops) &&
					(tone.Scene == under || tone.Scene == under+1) {
					want += (1 - off) * float64(tone.SNR)
				}
			}
		}
		const within = 0.2 // dB: the tone is measured in the picture here, in every frame there
		if !(math.Abs(float64(strip.SNR)-want) < within) {
			t.Errorf("%s (%+.2f stops): labelled %.2f, the table has %.2f", strip.Name, strip.Stops, strip.SNR, want)
		}
	}
}

// Without the flag the same clip has no grey, and no figure that rests on one.
func TestStripsWithoutGrey(t *testing.T) {
	t.Chdir(t.TempDir())
	heldDay(t, 2)
	next := auditedByPath(t, "--out", "report", "day")["day/2-next.mov"]
	if !next.Placement.Weak || next.Pictures == nil {
		t.Fatalf("placement %+v, pictures %+v", next.Placement, next.Pictures)
	}
	for _, strip := range next.Pictures.Strips {
		if curve.Finite(strip.SNR) {
			t.Errorf("%s: labelled %v", strip.Name, strip.SNR)
		}
	}
}

// Takes without grey of their own are set side by side, and none is recommended.
func TestWeakGreyIsNotCompared(t *testing.T) {
	t.Chdir(t.TempDir())
	heldDay(t, 2)
	for _, args := range [][]string{{"day/1-card.mov", "day/2-next.mov"},
		{"--grey", "scene", "day/1-card.mov", "day/2-next.mov"}} {
		code, stdout, stderr := program(t, append([]string{"compare", "--format", "json"}, args...)...)
		var c report.Comparison
		if err := json.Unmarshal([]byte(stdout), &c); code != exitMeasured || err != nil || len(c.Takes) != 2 {
			t.Fatalf("%q: exit code %d, %v: %s", args, code, err, stderr)
		}
		if r := c.Recommendation; r.Take != nil || r.Path != nil || !strings.Contains(r.Reason, "grey") {
			t.Errorf("%q: %+v", args, r)
		}
	}
}

// Every frame, with everything: grey carried, pictures, a comparison and the gate.
func TestEveryFrameWithEverything(t *testing.T) {
	t.Chdir(t.TempDir())
	heldDay(t, -2.5)
	doc, code, stderr := audited(t, "--every-frame", "--hold-grey", "--gate", "--target", "0.5", "--lift", "1.5", "--jobs",
		"2",
		"--out", "report", "day")
	if code != exitAlarm || len(doc.Clips) != 2 { // more than two stops under is one
		t.Fatalf("exit code %d, %d clips: %s", code, len(doc.Clips), stderr)
	}
	card, next := doc.Clips[0], doc.Clips[1]
	if next.Placement.Carried != card.Path || next.Placement.Stops != card.Placement.Stops || !card.Advice.NeedsPerson() {
		t.Errorf("card %+v, next %+v", card.Placement, next.Placement)
	}
	for _, c := range doc.Clips {
		if c.Sampling.Mode != report.Every || c.Sampling.FramesMeasured != 8 || c.Advice.Action != advise.Lift {
			t.Errorf("%s: %+v, %s", c.Path, c.Sampling, c.Advice.Action)
		}
		lift := c.Noise.Graded[len(c.Noise.Graded)-1]
		if c.Pictures == nil || len(c.Pictures.Strips) < 2 || lift.Stops != 1.5 {
			t.Errorf("%s: pictures %+v, graded %+v", c.Path, c.Pictures, c.Noise.Graded)
		}
	}
	if _, err := os.Stat(filepath.Join("report", report.ClipPage(next.Path))); err != nil {
		t.Error(err)
	}
	code, stdout, stderr := program(t, "compare", "--every-frame", "--hold-grey", "--format", "json", "--out", "takes",
		card.Path, next.Path)
	var c report.Comparison
	if err := json.Unmarshal([]byte(stdout), &c); code != exitMeasured || err != nil || len(c.Takes) != 2 {
		t.Fatalf("exit code %d, %v: %s", code, err, stderr)
	}
	if a, b := c.Clips[0].Pictures, c.Clips[1].Pictures; a.Strips[0].Region != b.Strips[0].Region {
		t.Errorf("enlarged at %+v and %+v", a.Strips[0].Region, b.Strips[0].Region)
	}
	if d := c.Takes[1].Figures[0].Difference; d == nil || d.Value != 0 || d.Told {
		t.Errorf("the carried grey differs from its own: %+v", d)
	}
}

// With the gate an alarm comes before a failure, and an interruption before both.
func TestGateAndOtherEnds(t *testing.T) {
	inFolder(t, "alarm.mov", "bad.mov", "slow.mov", "sequel.mov")
	for _, c := range []struct {
		args []string
		code int
	}{
		{[]string{"audit", "--gate", "--hold-grey", "alarm.mov"}, exitAlarm},
		{[]string{"audit", "--gate", "--hold-grey", "--out", "a", "alarm.mov", "bad.mov"}, exitAlarm},
		{[]string{"audit", "--hold-grey", "alarm.mov", "bad.mov"}, exitSomeFailed},
		{[]string{"audit", "--gate", "--hold-grey", "sequel.mov", "bad.mov"}, exitSomeFailed},
		{[]string{"compare", "--gate", "--format", "json", "--out", "b", "alarm.mov", "sequel.mov"}, exitAlarm},
		{[]string{"compare", "--gate", "--format", "csv", "alarm.mov", "bad.mov"}, exitAlarm},
	} {
		if code, _, stderr := call(t, fakeMeasure, c.args...); code != c.code {
			t.Errorf("%q: exit code %d, want %d: %s", c.args, code, c.code, stderr)
		}
	}
}

// toneIn is the mean recorded level of an area of a clip, by its picture of levels.
func toneIn(t *testing.T, c report.Clip, area geometry.Rect) curve.Stops {
	t.Helper()
	f, err := os.Open(filepath.Join("report", c.Pictures.Levels))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	levels, err := picture.ReadLevels(f)
	if err != nil {
		t.Fatal(err)
	}
	side := c.Pictures.LevelsSide
	var sum, n float64
	for y := area.Y / side; y < (area.Y+area.H)/side; y++ {
		for x := area.X / side; x < (area.X+area.W)/side; x++ {
			sum += float64(curve.Light(levels.Light(levels.Planes[0][y*levels.Width+x])).Stops())
			n++
		}
	}
	return curve.Stops(sum / n)
}
