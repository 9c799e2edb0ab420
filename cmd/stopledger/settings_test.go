package main

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/analyze/detect"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/metadata"
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
	s := prepared(t, "a.mov").flags.settings
	if s.Curve.Curve != nil || s.Assume.Curve != nil || s.Range != metadata.AutoRange || s.Matrix != metadata.AutoMatrix ||
		len(s.Regions) != 0 || s.Region != nil || s.Subject != placement.AnySubject || s.SceneTarget || s.Pictures {
		t.Errorf("something is set: %+v", s)
	}
	if s.Grey != placement.Auto || s.Reflectance != curve.MidGrey || s.Edition != detect.Edition2005 || s.Target != 0 ||
		s.Threads < 1 {
		t.Errorf("defaults: %+v", s)
	}
}

func TestSettingsOfFlags(t *testing.T) {
	j := prepared(t, "--curve logc3 --ei 1600 --range FULL --matrix bt2020 --region 10,20,30,40 --region 1,2,3,4 "+
		"--reflectance 0.9,0.03 --grey Region --subject face --edition 1976 --hold-grey --target -1.5 "+
		"--intended 1.5 --lift 1,2.5 --every-frame --out "+t.TempDir()+" --jobs 3 a.mov b.mov")
	s := j.flags.settings
	if s.Curve.Curve == nil || s.Curve.Curve.Index != 1600 || !s.Pictures || s.Threads < 1 || j.flags.jobs != 3 {
		t.Errorf("reading and the rest: %+v", s)
	}
	if !slices.Equal(j.paths, []string{"a.mov", "b.mov"}) {
		t.Errorf("paths %q", j.paths)
	}
	told, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	want := `{"curve":"logc3","assume":"","ei":1600,"range":"full","matrix":"bt2020","grey":"region",
		"patches":[{"region":{"x":10,"y":20,"w":30,"h":40},"reflectance":0.9},
			{"region":{"x":1,"y":2,"w":3,"h":4},"reflectance":0.03}],
		"reflectance":0.9,"subject":"face","edition":"1976","target_scene":false,"target_stops":-1.5,"lifts":[1,2.5],
		"intended_stops":1.5,"rules":null,"every_frame":true,"hold_grey":true,"region":{"x":10,"y":20,"w":30,"h":40}}`
	if diff := cmp.Diff(object(t, want), object(t, string(told))); diff != "" {
		t.Errorf("as the document tells them (-want +got):\n%s", diff)
	}
}

// object is what a text of JSON says, without its layout.
func object(t *testing.T, text string) (v map[string]any) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), &v); err != nil {
		t.Fatal(err)
	}
	return v
}

func TestMoreSettings(t *testing.T) {
	if s := prepared(t, "--no-pictures --out "+t.TempDir()+" a").flags.settings; s.Pictures {
		t.Error("pictures are taken against the flag")
	}
	s := prepared(t, "--target SCENE --assume v-log --reflectance 0.5 a").flags.settings
	if !s.SceneTarget || s.Assume.Curve.Name != "V-Log" || s.Reflectance != 0.5 {
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
	for stops := curve.Stops(-8); stops <= 6; stops += 0.5 {
		fmt.Fprintf(&table, "%.9f %.9f\n", stops.Light(), vlog.Encode(stops.Light()))
	}
	inFolder(t, "own/")
	if err := report.WriteFile("own/curve.txt", func(w io.Writer) error {
		_,
			err := io.WriteString(w, table.String())
		return err
	}); err != nil {
		t.Fatal(err)
	}
	c := prepared(t, "--curve own/curve.txt a").flags.settings.Curve.Curve
	const printed = 1e-6 // the file has nine decimals
	if got := c.Encode(0.18); got < vlog.Encode(0.18)-printed || got > vlog.Encode(0.18)+printed {
		t.Errorf("mid grey at %g, want %g", got, vlog.Encode(0.18))
	}
}

// A region that is read is what was written, and nothing outside the bounds is read.
func FuzzRegion(f *testing.F) {
	for _, s := range []string{"900,500,120,120", "0,0,1,1", "1,2,3", "a,b,c,d", " 1 , 2 ,3,4", "-1,0,1,1", "1,2,3,4,5",
		"9223372036854775808,0,1,1", "1048576,1048576,1048576,1048576"} {
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
		if r.W <= 0 || r.H <= 0 || r.X < 0 || r.Y < 0 || max(r.X, r.Y, r.W, r.H) > mostPixels {
			t.Errorf("%q gives %v", text, r)
		}
		again, err := parseRegion(fmt.Sprintf("%d,%d,%d,%d", r.X, r.Y, r.W, r.H))
		if err != nil || again != r {
			t.Errorf("%q gives %v, written again %v, %v", text, r, again, err)
		}
	})
}
