package profile

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/plan"
	"stopledger/curve"
)

func example() *plan.Profile {
	above := 12800
	unknown := curve.Light(math.NaN())
	p := &plan.Profile{Camera: `Maker "One"`, Curve: "S-Log3", BaseISOs: []int{800, 12800}, NoGainAbove: &above,
		Notes: []string{"a note"}, ISOs: []plan.ISO{
			{ISO: 800, Ceilings: plan.Ceilings{R: 887, G: 880.5, B: curve.Code(math.NaN())}, Ceiling: 5.9123,
				Origin: clipping.Measured, Takes: 4, Dark: 1, Coding: 0, Reduced: []noise.Cause{},
				Camera: noise.Camera{Read: 3e-4, ReadLow: 2.9e-4, ReadHigh: 3.1e-4, Shot: 2e-5, ShotLow: 1.9e-5,
					ShotHigh: 2.1e-5, Floor: -9.18, FloorLow: -9.3, FloorHigh: -9.1}},
			{ISO: 12800, Ceilings: plan.Ceilings{R: curve.Code(unknown), G: curve.Code(unknown), B: curve.Code(unknown)},
				Ceiling: 6.01, Origin: clipping.CurveEnd, Takes: 1, Coding: curve.Unknown[curve.Decibels](),
				Reason: "the recording hides the noise", Reduced: []noise.Cause{noise.SpatialReduction},
				Camera: noise.Camera{Read: unknown, ReadLow: unknown, ReadHigh: unknown, Shot: unknown, ShotLow: unknown,
					ShotHigh: unknown, Floor: curve.Stops(unknown), FloorLow: curve.Stops(unknown),
					FloorHigh: curve.Stops(unknown)}},
		}}
	p.Derive()
	return p
}

// What is written is read back, to the digits that are written.
func TestRoundTrip(t *testing.T) {
	want := example()
	text, err := Bytes(want)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "camera.toml")
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
	got, err := Load(path)
	if got != nil {
		want.File = path
	}
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if d := cmp.Diff(asJSON(t, want), asJSON(t, got)); d != "" {
		t.Errorf("%s\n%s", d, text)
	}
	again, err := Bytes(got)
	if err != nil || string(again) != string(text) {
		t.Errorf("written again it differs: %v\n%s", err, cmp.Diff(string(text), string(again)))
	}
}

// asJSON writes what is unknown as null, which equals itself.
func asJSON(t *testing.T, p *plan.Profile) string {
	t.Helper()
	b, err := json.MarshalIndent(p, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Every key is explained at the head of the file.
func TestHeadExplains(t *testing.T) {
	text, err := Bytes(example())
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(strings.TrimPrefix(string(text), Head), "\n") {
		key, _, isKey := strings.Cut(line, " = ")
		key = strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(key, "_low"), "_high"), "_low_stops")
		switch key = strings.TrimSuffix(key, "_high_stops"); {
		case !isKey, key == "version", key == "camera", key == "curve", key == "notes", key == "reason",
			key == "noise_reduction", key == "read", key == "shot", key == "floor": // tell themselves, or the end of another
		case !strings.Contains(Head, key):
			t.Errorf("%s is not explained", key)
		}
	}
}

// A mistake is told with its line.
func TestMistakes(t *testing.T) {
	whole, err := Bytes(example())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ old, new, says string }{
		{"version = 1", "version = 9", "version is 9, and this program reads version 1"},
		{"version = 1", "", "there is no version"},
		{"curve = 'S-Log3'", "curve = ''", "curve is not named"},
		{"read_linear = 0.0003", "read_linear = -1.0", "read_linear of ISO 800 cannot be -1"},
		{"read_linear = 0.0003", "read_linear = nan", "read_linear of ISO 800 cannot be NaN"},
		{"read_linear = 0.0003", "read_linear = 0.5", "outside its interval"},
		{"read_linear = 0.0003\n", "", "one of read_linear and shot_linear"},
		{"shot_linear = 0.00002", "shot_linear = 0.0", "0: light always adds noise"},
		{"ceiling_stops = 5.9123\n", "", "ISO 800 has no ceiling_stops"},
		{"ceiling_origin = 'measured'", "ceiling_origin = 'guess'", `cannot be "guess": it takes measured, shoulder, curve`},
		{"[iso.12800]", "[iso.-3]", "names no ISO"},
		{"[iso.12800]", "[iso.6400]", "base_isos names ISO 12800"},
		{"base_isos = [800, 12800]", "base_isos = [800]", ""},
		{"takes = 4", "takes = 0", "make no sense"},
		{"dark_takes", "drak_takes", "did you mean dark_takes?"},
		{"r = 887.0", "r = 5000.0", "ceilings of ISO 800 cannot be 5000"},
	} {
		own := strings.TrimPrefix(string(whole), Head)
		if !strings.Contains(own, c.old) {
			t.Errorf("the example has no %q:\n%s", c.old, own)
			continue
		}
		_, err := Parse("camera.toml", []byte(Head+strings.Replace(own, c.old, c.new, 1)))
		switch {
		case c.says == "" && err != nil:
			t.Errorf("%q: %v", c.new, err)
		case c.says == "":
		case err == nil || !strings.Contains(err.Error(), c.says) || !strings.HasPrefix(err.Error(), "camera.toml:"):
			t.Errorf("%q: %v does not say %q", c.new, err, c.says)
		}
	}
}

func FuzzParse(f *testing.F) {
	whole, err := Bytes(example())
	if err != nil {
		f.Fatal(err)
	}
	f.Add(whole)
	f.Add([]byte("version = 1\ncurve = 'x'\n[iso.0]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		p, err := Parse("camera.toml", text)
		if err != nil {
			return
		}
		if _, err := Bytes(p); err != nil {
			t.Error(err)
		}
	})
}
