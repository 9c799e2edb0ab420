package display

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/curve/lut"
)

var update = flag.Bool("update", false, "write the display files of testdata anew")

// fileOf reads a cube file of a text.
func fileOf(t *testing.T, text string, domain curve.Domain) *File {
	t.Helper()
	path := filepath.Join(t.TempDir(), "a.cube")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	made, err := lut.LoadTransform(path)
	if err != nil {
		t.Fatal(err)
	}
	return &File{Path: path, Domain: domain, Made: made}
}

func curveOf(t *testing.T, name string) *curve.Curve {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestWhatAFileTakes: a file that gives back what it takes shows the value of a code in each domain,
// worked out from the code (Recommendation ITU-R BT.2100-2, table 9).
func TestWhatAFileTakes(t *testing.T) {
	const same = "LUT_1D_SIZE 2\nDOMAIN_MIN -1 -1 -1\nDOMAIN_MAX 2 2 2\n-1 -1 -1\n2 2 2\n"
	for _, tc := range []struct {
		curve  string
		span   curve.Range
		domain curve.Domain
		value  func(code10 float64) float64
	}{
		{"S-Log3", curve.Narrow, curve.CurveDomain, func(c float64) float64 { return c / 1023 }},
		{"S-Log3", curve.Narrow, curve.VideoDomain, func(c float64) float64 { return (c - 64) / 876 }},
		{"S-Log3", curve.Full, curve.CurveDomain, func(c float64) float64 { return c / 1023 }},
		{"S-Log3", curve.Full, curve.VideoDomain, func(c float64) float64 { return c / 1023 }},
		{"LogC3", curve.Narrow, curve.CurveDomain, func(c float64) float64 { return (c - 64) / 876 }},
		{"LogC3", curve.Narrow, curve.VideoDomain, func(c float64) float64 { return (c - 64) / 876 }},
		{"LogC3", curve.Full, curve.VideoDomain, func(c float64) float64 { return c / 1023 }},
	} {
		r := curve.Reading{Curve: curveOf(t, tc.curve), Range: tc.span, Bits: 10}
		shows := fileOf(t, same, tc.domain).For(r)
		for code := 100.0; code < 900; code += 50 {
			light := r.Light(curve.FileCode(code))
			want := uint8(math.Round(255 * tc.value(code)))
			if got := shows.Codes(light, light, light); got != [3]uint8{want, want, want} {
				t.Errorf("%s, range %d, %s: code %g shows as %d, want %d", tc.curve, tc.span, tc.domain, code, got, want)
			}
		}
	}
}

// TestWhite: percents are of the highest signal that a file shows, whatever the display.
func TestWhite(t *testing.T) {
	r := curve.Reading{Curve: curveOf(t, "S-Log3"), Bits: 10}
	shows := fileOf(t, "LUT_1D_SIZE 3\n0 0 0\n0.3 0.3 0.3\n0.75 0.75 0.75\n", curve.CurveDomain).For(r)
	grey := 0.3 * 420 / 511.5 // S-Log3 records 18 % at 420 of 1023 (its table)
	if w := shows.White(); math.Abs(float64(w)-75) > 1e-6 {
		t.Errorf("white at %v, want 75 %%", w)
	}
	if got := float64(shows.Signal(0.18)); math.Abs(got-100*grey/0.75) > 1e-3 {
		t.Errorf("grey at %.3f %%, want %.3f", got, 100*grey/0.75)
	}
	light := math.Pow(grey/0.75, 2.4) // BT.1886 (2011), annex 1
	near(t, "light of grey", shows.Light(0.18), light, 1e-4)
	const step = 1e-3
	near(t, "slope", shows.Slope(0.18), float64(shows.Light(0.18+step)-shows.Light(0.18-step))/2/step, 0.01)
	if got := shows.Codes(0.18, curve.Light(math.NaN()), -1); got[0] != uint8(math.Round(255*grey)) || got[1] != 0 {
		t.Errorf("codes %v", got)
	}
	if shows.Signal(0) < 0 || shows.Slope(0) != 0 {
		t.Error("no light shows")
	}
}

// TestNoFile: without a file everything is the built-in rendering.
func TestNoFile(t *testing.T) {
	shows := (*File)(nil).For(curve.Reading{})
	for _, l := range []curve.Light{-1, 0, 0.01, 0.18, 0.7, 5} {
		code := Code(l)
		if shows.Signal(l) != Render(l).Signal() || shows.Light(l) != Render(l) || shows.Slope(l) != Slope(l) ||
			shows.Codes(l, l, l) != [3]uint8{code, code, code} {
			t.Errorf("light %v", l)
		}
	}
}

// hlgOf is scene light as Report ITU-R BT.2408 places it in HLG, 18 % grey at 38 % signal: the camera
// curve of Recommendation ITU-R BT.2100-2, table 5, of light scaled to that.
func hlgOf(light float64) float64 {
	const a, b, c, grey = 0.17883277, 0.28466892, 0.55991073, 0.38
	e := max(light, 0) / 0.18 * grey * grey / 3
	if e <= 1.0/12 {
		return math.Sqrt(3 * e)
	}
	return min(a*math.Log(12*e-b)+c, 1)
}

// slog3Light is S-Log3 as its paper has it.
func slog3Light(n float64) float64 {
	if code := n * 1023; code >= 171.2102946929 {
		return math.Pow(10, (code-420)/261.5)*0.19 - 0.01
	}
	return (n*1023 - 95) * 0.01125 / (171.2102946929 - 95)
}

// displayFiles are the display transforms of testdata/display, by their formulas: S-Log3 to HLG, as
// three-dimensional table of the curve's own values, and as table of video levels.
func displayFiles() map[string]string {
	var three, video strings.Builder
	three.WriteString("# S-Log3, its own values, to HLG (BT.2100), 18 % grey at 38 % (BT.2408);\n" +
		"# made by go test ./analyze/display -run TestDisplayFiles -update\nTITLE \"S-Log3 to HLG\"\nLUT_3D_SIZE 17\n")
	at := func(i int) float64 { return hlgOf(slog3Light(float64(i) / 16)) }
	for i := range 17 * 17 * 17 {
		fmt.Fprintf(&three, "%.5f %.5f %.5f\n", at(i%17), at(i/17%17), at(i/17/17))
	}
	video.WriteString("# S-Log3, video levels of narrow-range files, to HLG (BT.2100), 18 % grey at 38 % (BT.2408);\n" +
		"# made by go test ./analyze/display -run TestDisplayFiles -update\nTITLE \"S-Log3 to HLG\"\nLUT_1D_SIZE 1024\n")
	for i := range 1024 {
		v := hlgOf(slog3Light((64 + 876*float64(i)/1023) / 1023))
		fmt.Fprintf(&video, "%.6f %.6f %.6f\n", v, v, v)
	}
	return map[string]string{"slog3-hlg.cube": three.String(), "slog3-hlg-video.cube": video.String()}
}

// TestDisplayFiles: the files of testdata/display are those of the formulas, and show grey at 38 %.
func TestDisplayFiles(t *testing.T) {
	r := curve.Reading{Curve: curveOf(t, "S-Log3"), Bits: 10}
	for name, text := range displayFiles() {
		path := filepath.Join("../../testdata/display", name)
		if *update {
			if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		b, err := os.ReadFile(path)
		if err != nil || string(b) != text {
			t.Fatalf("%s is not that of its formula (%v): write it with -update", path, err)
		}
		made, err := lut.LoadTransform(path)
		if err != nil {
			t.Fatal(err)
		}
		f := File{Path: path, Domain: curve.CurveDomain, Made: made}
		apart := 2.0 // between the 17 points of an edge the formula is bent
		if strings.Contains(name, "video") {
			f.Domain, apart = curve.VideoDomain, 0.1
		}
		for stops := curve.Stops(-4); stops <= 5; stops += 0.5 {
			got, want := float64(f.For(r).Signal(stops.Light())), 100*hlgOf(float64(stops.Light()))
			if math.Abs(got-want) > apart {
				t.Errorf("%s: %+.1f stops show at %.2f %%, want %.2f", name, stops, got, want)
			}
		}
	}
}
