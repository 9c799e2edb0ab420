package main

import (
	"fmt"
	"image"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/analyze"
	"stopledger/curve"
	"stopledger/report"
)

func prepared(t *testing.T, args string) job {
	t.Helper()
	j, err := (app{stdout: io.Discard}).prepare("audit", auditUsage, strings.Fields(args))
	if err != nil {
		t.Fatalf("%s: %v", args, err)
	}
	return j
}

func TestSettingsWithoutFlags(t *testing.T) {
	s := prepared(t, "a.mov").settings
	if s.Curve != nil || s.Assume != nil || s.Range != nil || s.Matrix != nil || len(s.Patches) != 0 || s.FaceIsGrey || s.SceneTarget || s.Pictures {
		t.Errorf("something is set: %+v", s)
	}
	if s.Grey != "auto" || s.Reflectance != curve.MidGrey || s.Edition != "2005" || s.Target != 0 || s.Threads < 1 {
		t.Errorf("defaults: %+v", s)
	}
}

func TestSettingsOfFlags(t *testing.T) {
	j := prepared(t, "--curve logc3 --ei 1600 --range FULL --matrix bt2020 --region 10,20,30,40 --region 1,2,3,4 --reflectance 0.9,0.03 "+
		"--grey Region --subject face --edition 1976 --hold-grey --target -1.5 --lift 1,2.5 --every-frame --out "+t.TempDir()+" --jobs 3 a.mov b.mov")
	s := j.settings
	if s.Curve == nil || s.Curve.Index != 1600 || *s.Range != curve.Full || *s.Matrix != curve.BT2020 {
		t.Errorf("reading: %+v", s)
	}
	want := []analyze.Patch{{Area: image.Rect(10, 20, 40, 60), Reflectance: 0.9}, {Area: image.Rect(1, 2, 4, 6), Reflectance: 0.03}}
	if !slices.Equal(s.Patches, want) || s.Grey != "region" || !s.FaceIsGrey || s.Edition != "1976" {
		t.Errorf("grey: %+v", s)
	}
	if s.Target != -1.5 || s.SceneTarget || !slices.Equal(s.Lifts, []float64{1, 2.5}) || !s.EveryFrame || !s.Pictures || j.flags.jobs != 3 {
		t.Errorf("the rest: %+v", s)
	}
	if !slices.Equal(j.paths, []string{"a.mov", "b.mov"}) {
		t.Errorf("paths %q", j.paths)
	}
	region := report.Rect{X: 10, Y: 20, W: 30, H: 40}
	told := report.Settings{Curve: "logc3", Range: "full", Matrix: "bt2020", Region: &region, Reflectance: 0.9, Target: -1.5, Grey: "region",
		Lifts: []float64{1, 2.5}, EveryFrame: true, Index: 1600, Subject: "face", Edition: "1976", HoldGrey: true,
		Patches: []report.PatchSetting{{Region: region, Reflectance: 0.9}, {Region: report.Rect{X: 1, Y: 2, W: 3, H: 4}, Reflectance: 0.03}}}
	if diff := cmp.Diff(told, j.flags.written(s)); diff != "" {
		t.Errorf("as the document tells them (-want +got):\n%s", diff)
	}
}

func TestMoreSettings(t *testing.T) {
	if s := prepared(t, "--no-pictures --out "+t.TempDir()+" a").settings; s.Pictures {
		t.Error("pictures are taken against the flag")
	}
	if s := prepared(t, "--target SCENE --assume v-log --reflectance 0.5 a").settings; !s.SceneTarget || s.Assume.Name != "V-Log" || s.Reflectance != 0.5 {
		t.Errorf("%+v", s)
	}
}

// A curve may lie in a file: stops and codes in two columns here.
func TestCurveOfAFile(t *testing.T) {
	var table strings.Builder
	vlog, err := curve.Find("vlog")
	if err != nil {
		t.Fatal(err)
	}
	for stops := -8.0; stops <= 6; stops += 0.5 {
		fmt.Fprintf(&table, "%.9f %.9f\n", curve.FromStops(stops), vlog.Encode(curve.FromStops(stops)))
	}
	inFolder(t, "own/")
	if err := report.WriteFile("own/curve.txt", func(w io.Writer) error { _, err := io.WriteString(w, table.String()); return err }); err != nil {
		t.Fatal(err)
	}
	c := prepared(t, "--curve own/curve.txt a").settings.Curve
	const printed = 1e-6 // the file has nine decimals
	if got := c.Encode(0.18); got < vlog.Encode(0.18)-printed || got > vlog.Encode(0.18)+printed {
		t.Errorf("mid grey at %g, want %g", got, vlog.Encode(0.18))
	}
}

// A region that is read is what was written, and nothing outside the bounds is read.
func FuzzRegion(f *testing.F) {
	for _, s := range []string{"900,500,120,120", "0,0,1,1", "1,2,3", "a,b,c,d", " 1 , 2 ,3,4", "-1,0,1,1", "1,2,3,4,5", "9223372036854775808,0,1,1", "1048576,1048576,1048576,1048576"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, err := parseRegion(text)
		if err != nil {
			if !strings.Contains(err.Error(), "X,Y,W,H") {
				t.Errorf("%q: the error does not say what is wanted: %v", text, err)
			}
			return
		}
		if r.Empty() || r.Min.X < 0 || r.Min.Y < 0 || r.Dx() > mostPixels || r.Dy() > mostPixels {
			t.Errorf("%q gives %v", text, r)
		}
		again, err := parseRegion(fmt.Sprintf("%d,%d,%d,%d", r.Min.X, r.Min.Y, r.Dx(), r.Dy()))
		if err != nil || again != r {
			t.Errorf("%q gives %v, written again %v, %v", text, r, again, err)
		}
	})
}
