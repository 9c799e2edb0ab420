package main

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
)

// --assume measures what names no curve, and says so wherever the clip is told of.
func TestAssumedCurve(t *testing.T) {
	dir := t.TempDir()
	silent, named, film := filepath.Join(dir, "silent.mp4"), filepath.Join(dir, "named.mp4"),
		filepath.Join(dir, "film.mp4")
	for _, path := range []string{silent, named, film} {
		take{curve: "V-Log", stops: 1}.record(t, path)
	}
	build.AddMeta("s-log3")(t, named)
	build.AddMeta("s-cinetone")(t, film)
	doc, code, _ := audited(t, "--assume", "vlog", "--region", takeCard, film, named, silent)
	if code != exitMeasured || len(doc.Clips) != 3 {
		t.Fatalf("exit code %d, %d clips", code, len(doc.Clips))
	}
	if c := doc.Clips[0]; !c.Curve.Assumed {
		t.Errorf("film look: %+v", c.Curve)
	} else if f, _ := finding(c, "curve-doubt"); !strings.Contains(f.Text,
		"--assume makes it V-Log, but the clip's XML says a curve that is not log") {
		t.Errorf("film look: %+v", f)
	}
	if c := doc.Clips[1].Curve; c.Assumed || c.Name != "S-Log3" || c.Origin != "clip-xml" {
		t.Errorf("named in the clip: %+v", c)
	}
	c := doc.Clips[2]
	if !c.Curve.Assumed || c.Curve.Name != "V-Log" || c.Curve.Origin != "assumed" ||
		math.Abs(float64(c.Placement.Stops-1)) > 0.03 {
		t.Errorf("silent: %+v, %+v", c.Curve, c.Placement)
	}
	if _, stdout, _ := program(t, "audit", "--assume", "vlog", silent); !strings.Contains(stdout, "assumed") {
		t.Errorf("text does not say that the curve is assumed:\n%s", stdout)
	}
	if _, stdout, _ := program(t, "audit", "--curve", "vlog", silent); strings.Contains(stdout, "assumed") {
		t.Errorf("text says that a named curve is assumed:\n%s", stdout)
	}
}

// LogC3 is read at the exposure index of the flag, else of the metadata, else at the usual one with
// a word of doubt.
func TestExposureIndex(t *testing.T) {
	alexa := map[string]string{"com.arri.camera.ColorGammaSxS": "LOG-C", "com.arri.camera.CameraModel": "ALEXA Mini"}
	at1600 := map[string]string{"com.arri.camera.ExposureIndexAsa": "1600"}
	for k, v := range alexa {
		at1600[k] = v
	}
	dir := t.TempDir()
	said, unsaid := filepath.Join(dir, "said.mov"), filepath.Join(dir, "unsaid.mov")
	take{curve: "LogC3 EI1600", stops: 3, how: synth.Encoding{Metadata: at1600}}.record(t, said)
	take{curve: "LogC3 EI1600", stops: 3, how: synth.Encoding{Metadata: alexa}}.record(t, unsaid)
	for _, c := range []struct {
		args  string
		path  string
		name  string
		index int
		doubt string
	}{
		{"", said, "LogC3 EI1600", 1600, ""},
		{"--curve logc3", said, "LogC3 EI1600", 1600, ""},
		{"--ei 400", said, "LogC3 EI400", 400, "--ei makes it LogC3 EI400, but a key of the container says LogC3"},
		{"--curve logc3 --ei 400", said, "LogC3 EI400", 400, "--curve makes it LogC3 EI400, but"},
		{"", unsaid, "LogC3", 800, "read at 800; --ei names another"},
		{"--ei 1600", unsaid, "LogC3 EI1600", 1600, ""},
		{"--curve logc3ei1600", unsaid, "LogC3 EI1600", 1600, ""},
	} {
		clip := auditedClip(t, append(strings.Fields(c.args), "--region", takeCard, c.path)...)
		f, doubted := finding(clip, "curve-doubt")
		if clip.Curve.Name != c.name || clip.Curve.Index != c.index || doubted != (c.doubt != "") ||
			!strings.Contains(f.Text, c.doubt) {
			t.Errorf("%s %s: curve %+v, doubt %+v", c.args, filepath.Base(c.path), clip.Curve, f)
		}
		if right := math.Abs(float64(clip.Placement.Stops-3)) < 0.03; right != (c.index == 1600) {
			t.Errorf("%s %s: placement %+.3f at index %d, recorded 3 stops over at 1600", c.args, filepath.Base(c.path),
				clip.Placement.Stops, c.index)
		}
	}
}
