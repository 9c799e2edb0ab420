package lut

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/curve/ocio"
)

func load(t *testing.T, path string) *curve.Curve {
	c, err := Load(path)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func find(t *testing.T, name string) *curve.Curve {
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A file that holds a published curve reads like it: at the same n, or at the same code of a
// narrow file where the file counts in video levels and the curve in data codes.
func TestLoadPublishedCurves(t *testing.T) {
	for _, tc := range []struct {
		file, name, like string
		convention       curve.Convention
		apart            float64 // of n; see the file's Description
	}{
		{"slog3-to-linear.clf", "S-Log3 by file", "S-Log3", curve.DataCodes, 1e-9},
		{"slog3-video-levels.clf", "slog3-video", "S-Log3", curve.VideoScaled, 1e-9},
		{"logc3-from-linear.clf", "logc3-800", "LogC3", curve.VideoScaled, sixDigitSignal},
	} {
		c, published := load(t, "testdata/"+tc.file), find(t, tc.like)
		if c.Name != tc.name || c.Convention != tc.convention || c.Grade != curve.Open {
			t.Errorf("%s: read as %q, convention %d, %s", tc.file, c.Name, c.Convention, c.Grade)
		}
		mine, theirs := curve.Reading{Curve: c, Bits: 10}, curve.Reading{Curve: published, Bits: 10}
		for code := range 1024 {
			light := mine.Light(curve.FileCode(code))
			if apart := math.Abs(published.Encode(light) - theirs.Signal(curve.FileCode(code))); !(apart <= tc.apart) {
				t.Errorf("%s: code %d reads %g, %s reads %g",
					tc.file, code, light, tc.like, theirs.Light(curve.FileCode(code)))
				break
			}
		}
	}
}

func TestLoadLog2(t *testing.T) {
	c := load(t, "testdata/log2-stops.clf")
	for stops := curve.Stops(-7); stops <= 8; stops++ { // grey at 0.5, 16 stops from 0 to 1
		if n, want := c.Encode(stops.Light()), 0.5+float64(stops)/16; math.Abs(n-want) > 1e-15 {
			t.Errorf("%+g stops at n = %.17g, want %g", stops, n, want)
		}
	}
	if n := c.Encode(-1); math.IsNaN(n) || n > c.Encode(0.0001) {
		t.Errorf("light below zero at n = %g", n)
	}
}

func TestLoadTables(t *testing.T) {
	gamma := load(t, "testdata/gamma2-lut1d.clf")
	for _, p := range [][2]float64{{0.1, 0.01}, {0.5, 0.25}, {0.55, 0.305}, {1, 1}, {-0.1, -0.01}, {1.1, 1.19}} {
		if got := float64(gamma.Decode(p[0])); math.Abs(got-p[1]) > 1e-15 {
			t.Errorf("gamma 2: n = %g reads %.17g, want %g", p[0], got, p[1])
		}
		if got := gamma.Encode(curve.Light(p[1])); math.Abs(got-p[0]) > 1e-15 {
			t.Errorf("gamma 2: light %g at %.17g, want %g", p[1], got, p[0])
		}
	}
	printed := load(t, "testdata/vlog-printed.txt")
	if printed.Name != "vlog-printed" || printed.Convention != curve.DataCodes {
		t.Errorf("columns of codes read as %q, convention %d", printed.Name, printed.Convention)
	}
	r := curve.Reading{Curve: printed, Bits: 10}
	for _, p := range [][2]float64{{128, 0}, {433, 0.18}, {602, 0.9}, {280.5, 0.09}} {
		if got := float64(r.Light(curve.FileCode(p[0]))); math.Abs(got-p[1]) > 1e-12 {
			t.Errorf("columns: code %g reads %g, want %g", p[0], got, p[1])
		}
	}
}

// tableFiles writes a published curve as tables of each kind, both ways, and returns their
// paths and what they go to.
func tableFiles(t *testing.T, c *curve.Curve, entries int) (toLight, toCode []string) {
	dir := t.TempDir()
	write := func(name, head, line, tail string, out func(float64) float64) string {
		var b strings.Builder
		b.WriteString(head)
		for _, n := range evenly(0, 1, entries) {
			v := out(n)
			fmt.Fprintf(&b, line, v)
		}
		b.WriteString(tail)
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(b.String()), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	for way, out := range map[string]func(float64) float64{
		"light": func(n float64) float64 { return float64(c.Decode(n)) },
		"code":  func(x float64) float64 { return c.Encode(curve.Light(x)) },
	} {
		paths := []string{
			write(way+".cube", fmt.Sprintf("TITLE \"to %s\"\r\nLUT_1D_SIZE %d\r\n# all alike\r\n"+
				"DOMAIN_MIN 0 0 0\r\nDOMAIN_MAX 1 1 1\r\n", way, entries),
				"%.9[1]g %.9[1]g %.9[1]g\r\n", "", out),
			write(way+".spi1d", fmt.Sprintf("Version 1\nFrom 0.0 1.0\nLength %d\nComponents 1\n{\n", entries),
				"    %.9g\n", "}\n", out),
			write(way+".clf", fmt.Sprintf("<ProcessList id=\"t\" compCLFversion=\"3\">"+
				"<LUT1D inBitDepth=\"32f\" outBitDepth=\"32f\"><Array dim=\"%d 1\">", entries),
				"%.9g\n", "</Array></LUT1D></ProcessList>", out),
		}
		if way == "light" {
			toLight = paths
		} else {
			toCode = paths
		}
	}
	return toLight, toCode
}

// Every kind of table, whichever way it goes, reads like the curve it was written from, as
// far as straight pieces between its entries can.
func TestLoadTablesBothWays(t *testing.T) {
	c := find(t, "V-Log")
	toLight, toCode := tableFiles(t, c, 4096)
	for _, path := range append(toLight, toCode...) {
		user := load(t, path)
		top := curve.Light(1) // of light, where a table from linear ends
		for stops := curve.Stops(-8); stops.Light() < top; stops += 0.01 {
			x := stops.Light()
			if apart := math.Abs(user.Encode(x) - c.Encode(x)); apart > 1e-4 {
				t.Errorf("%s: %+.2f stops lie %.2g of n away", filepath.Base(path), stops, apart)
				break
			}
			if back := user.Decode(user.Encode(x)); math.Abs(float64(back-x)) > roundTripLight {
				t.Errorf("%s: light %g comes back as %g", filepath.Base(path), x, back)
				break
			}
		}
	}
}

// OpenColorIO reads the same files the same way, over the whole of 0..1.
func TestLoadAsOpenColorIO(t *testing.T) {
	const toLight, toCode = true, false
	files := map[string]bool{
		"testdata/slog3-to-linear.clf":    toLight,
		"testdata/slog3-video-levels.clf": toLight,
		"testdata/logc3-from-linear.clf":  toCode,
		"testdata/log2-stops.clf":         toCode,
		"testdata/gamma2-lut1d.clf":       toLight,
	}
	light, code := tableFiles(t, find(t, "V-Log"), 512)
	for _, path := range light {
		files[path] = toLight
	}
	for _, path := range code {
		files[path] = toCode
	}
	var names []string
	for path := range files {
		names = append(names, "file "+path)
	}
	ramps := ocio.Ramps(t, names)
	for path, goes := range files {
		c := load(t, path)
		ramp := ramps["file "+path]
		if len(ramp) != 4096 {
			t.Errorf("%s: %d values, want 4096", path, len(ramp))
		}
		for _, v := range ramp {
			in, want, got := v[0], v[1], 0.0
			if goes == toLight {
				got, want = c.Encode(c.Decode(in)), c.Encode(curve.Light(want))
			} else {
				got = c.Encode(curve.Light(in))
			}
			if !(math.Abs(got-want) <= liveSignal) {
				t.Errorf("%s: %g goes to n = %.8f, OpenColorIO says %.8f", path, in, got, want)
				break
			}
		}
	}
}

// A table that is flat at an end holds there, and goes on straight where it is not.
func TestFlatEndsHold(t *testing.T) {
	c, err := readColumns([]byte("0 0\n0 0.1\n0.2 0.5\n1 0.9\n"))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range [][2]float64{{0, 0}, {0.1, 0}, {0.3, 0.1}, {0.9, 1}, {1, 1.2}} {
		if got := float64(c.Decode(p[0])); math.Abs(got-p[1]) > 1e-15 {
			t.Errorf("n = %g reads %g, want %g", p[0], got, p[1])
		}
	}
	if got := c.Encode(-1); got != 0.1 {
		t.Errorf("light below a held end at n = %g, want 0.1", got)
	}
}
