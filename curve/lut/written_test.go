package lut

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/curve"
)

// written writes a curve file and loads it.
func written(t *testing.T, name, text string) *curve.Curve {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return load(t, path)
}

const entries = 1024

// tableOf are entries of a curve to light, at equal distances of n from low to high.
func tableOf(c *curve.Curve, low, high float64) (light []float64) {
	for i := range entries {
		light = append(light, float64(c.Decode(low+(high-low)*float64(i)/(entries-1))))
	}
	return light
}

// straight tells whether the mean of a table lies within a twentieth of the middle of its ends.
func straight(light []float64) bool {
	var mean float64
	for _, x := range light {
		mean += (x - light[0]) / (light[len(light)-1] - light[0]) / float64(len(light))
	}
	return math.Abs(mean-0.5) < 0.05
}

// Every published curve, sampled and written as each kind of table, is read back: at the entries as
// they were written, and between them within what a straight line lies off the curve, a quarter of
// a thousandth of n.
func TestPublishedCurvesAsTables(t *testing.T) {
	for _, c := range curve.All() {
		// From a little above the lowest code, so that a toe that is flat or falls stays out.
		low, high := 0.1, c.Top
		light := tableOf(c, low, high)
		var rows, cube, spi strings.Builder
		fmt.Fprintf(&cube, "TITLE \"a\"\nLUT_1D_SIZE %d\nDOMAIN_MIN %[2]g %[2]g %[2]g\n", entries, low)
		fmt.Fprintf(&cube, "DOMAIN_MAX %[1]g %[1]g %[1]g\n", high)
		fmt.Fprintf(&spi, "Version 1\nFrom %g %g\nLength %d\nComponents 1\n{\n", low, high, entries)
		rows.WriteString("linear,n\n")
		for i, x := range light {
			fmt.Fprintf(&rows, "%.17g,%.17g\n", x, low+(high-low)*float64(i)/(entries-1))
			fmt.Fprintf(&cube, "%.17[1]g %.17[1]g %.17[1]g\n", x)
			fmt.Fprintf(&spi, "%.17g\n", x)
		}
		spi.WriteString("}\n")
		files := map[string]string{"c.csv": rows.String(), "c.cube": cube.String(),
			"c.spi1d": spi.String()}
		if straight(light) { // which side of a table is light shows in its bend only
			delete(files, "c.cube")
			delete(files, "c.spi1d")
		}
		for name, text := range files {
			got := written(t, name, text)
			if math.Abs(got.Top-high) > 1e-12 || !got.Recorded || got.Convention != curve.VideoScaled || got.Name != "c" {
				t.Errorf("%s in %s: %+v", c.Name, name, got)
			}
			for i := 1; i+1 < entries; i += 37 {
				n := low + (high-low)*float64(i)/(entries-1)
				if x := float64(got.Decode(n)); math.Abs(x-light[i]) > 1e-9*(1+math.Abs(light[i])) {
					t.Fatalf("%s in %s: n = %g reads %g, written was %g", c.Name, name, n, x, light[i])
				}
				between := n + (high-low)*0.4/(entries-1)
				if back := got.Encode(c.Decode(between)); math.Abs(back-between) > 2.5e-4 {
					t.Fatalf("%s in %s: the light of n = %g is at %g", c.Name, name, between, back)
				}
			}
		}
	}
}

// Codes and n are told apart by their size: the same rows in 10-bit codes are a data curve.
func TestColumnsOfCodes(t *testing.T) {
	c := find(t, "S-Log3")
	var rows strings.Builder
	rows.WriteString("# light and code\n\n")
	for code := 100; code <= 1000; code += 10 {
		fmt.Fprintf(&rows, "%.17g\t%d # a row\r\n", float64(c.Decode(float64(code)/1023)), code)
	}
	got := written(t, "codes.txt", rows.String())
	if got.Convention != curve.DataCodes {
		t.Fatalf("convention %d", got.Convention)
	}
	r := curve.Reading{Curve: got, Bits: 10}
	for code := 100; code <= 1000; code += 10 {
		if want := c.Decode(float64(code) / 1023); math.Abs(float64(r.Light(curve.FileCode(code))-want)) > 1e-9 {
			t.Errorf("code %d reads %v, want %v", code, r.Light(curve.FileCode(code)), want)
		}
	}
}

// However blanks, commas and line ends stand, a table is the same.
func TestRowsHoweverTheyAreWritten(t *testing.T) {
	lines := []string{"0 0.1", "0.02 0.2", "0.18 0.4", "1 0.7", "8 1"}
	first := written(t, "a.txt", strings.Join(lines, "\n"))
	rows := strings.Join(lines, "\n")
	for name, text := range map[string]string{
		"windows":     strings.Join(lines, "\r\n") + "\r\n",
		"commas":      strings.ReplaceAll(rows, " ", ", "),
		"tabs":        strings.ReplaceAll(rows, " ", "\t\t"),
		"semicolons":  strings.ReplaceAll(rows, " ", ";"),
		"blank lines": strings.Join(lines, "\n\n   \n"),
		"comments":    "# it\n" + strings.Join(lines, " # here\n"),
		"a heading":   "linear n\n" + rows,
	} {
		got := written(t, "b.txt", text)
		for n := 0.1; n <= 1; n += 0.05 {
			if a, b := first.Decode(n), got.Decode(n); a != b {
				t.Errorf("%s: n = %g reads %v, want %v", name, n, b, a)
			}
		}
	}
}

// A bend that tells nothing, and rows that fall, are refused with the line or the reason.
func TestTablesThatTellNothing(t *testing.T) {
	for text, want := range map[string]string{
		"LUT_1D_SIZE 3\n0 0 0\n0.5 0.5 0.5\n1 1 1\n":        "nearly straight",
		"LUT_1D_SIZE 3\n0 0 0\n0.2 0.2 0.2\n":               "2 entries where it says 3",
		"LUT_1D_SIZE 2\n0 0 0\n0.2 0.2\n":                   "line 3",
		"LUT_1D_SIZE 2\n0 0 0\n0.2 0.3 0.4\n":               "channels differ",
		"LUT_1D_SIZE 2\n0 0 0\nnan nan nan\n":               "not a number",
		"LUT_1D_SIZE 2\nDOMAIN_MIN 1 1 1\n0 0 0\n1 1 1\n":   "must rise",
		"LUT_1D_SIZE 1\n0 0 0\n":                            "two or more",
		"LUT_1D_SIZE x\n":                                   "whole number",
		"LUT_1D_INPUT_RANGE 0\nLUT_1D_SIZE 2\n0 0 0\n1 1 1": "two numbers",
		"0 0 0\n1 1 1\n":                                    "does not say how many",
	} {
		path := filepath.Join(t.TempDir(), "a.cube")
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		_, err := Load(path)
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), path) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}
