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

// readText reads a CLF file of a text.
func readText(t *testing.T, text string) *curve.Curve {
	t.Helper()
	c, err := readCLF([]byte(text))
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return c
}

// lights are from deep shadow to far over white.
func lights() (x []float64) {
	for stops := -9.0; stops <= 8; stops += 0.37 {
		x = append(x, 0.18*math.Exp2(stops))
	}
	return x
}

// logNode is a Log node with parameters for all channels.
func logNode(style, params string) string {
	return `<Log inBitDepth="32f" outBitDepth="32f" style="` + style + `"><LogParams ` + params + `/></Log>`
}

// TestLogFormulas compares the styles of a Log node with their formulas (Common LUT Format, specification S-2014-006,
// Log node: y = logSideSlope log_base(linSideSlope x + linSideOffset) + logSideOffset; from memory), each way.
func TestLogFormulas(t *testing.T) {
	const all = `base="10" logSideSlope="0.25" logSideOffset="0.4" linSideSlope="5.5" linSideOffset="0.05"`
	general := func(x float64) float64 { return 0.25*math.Log10(5.5*x+0.05) + 0.4 }
	const at = 0.01
	slope := 0.25 * 5.5 / ((5.5*at + 0.05) * math.Ln10) // of the logarithm there
	below := func(steep float64) func(float64) float64 {
		return func(x float64) float64 {
			if x <= at {
				return general(at) + steep*(x-at)
			}
			return general(x)
		}
	}
	for _, c := range []struct {
		name, forward, back, params string
		want                        func(x float64) float64
	}{
		{"log10", "log10", "antiLog10", "", math.Log10},
		{"log2", "log2", "antiLog2", "", math.Log2},
		{"all parameters", "linToLog", "logToLin", all, general},
		{"defaults", "linToLog", "logToLin", "", math.Log2},
		{"a base of e", "linToLog", "logToLin", `base="2.718281828459045"`, math.Log},
		{"camera", "cameraLinToLog", "cameraLogToLin", all + ` linSideBreak="0.01"`, below(slope)},
		{"camera with a slope", "cameraLinToLog", "cameraLogToLin", all + ` linSideBreak="0.01" linearSlope="3"`, below(3)},
	} {
		for way, style := range map[string]string{"to code": c.forward, "to light": c.back} {
			t.Run(c.name+" "+way, func(t *testing.T) {
				text := clfOf(logNode(style, c.params))
				if c.params == "" && c.name != "defaults" {
					text = clfLog10(style, "")
				}
				got := readText(t, text)
				for _, x := range lights() {
					n := c.want(x)
					if math.Abs(got.Encode(curve.Light(x))-n) > 1e-12 {
						t.Errorf("light %g at %g, want %g", x, got.Encode(curve.Light(x)), n)
					}
					if back := float64(got.Decode(n)); math.Abs(back-x) > 1e-9*x+1e-15 {
						t.Errorf("n = %g reads %g, want %g", n, back, x)
					}
				}
			})
		}
	}
}

// TestMatrixAndRange: neutrals go through a Matrix by the sum of its row and its offset, through a Range on the line of
// its two points, in either bit depth: 10i counts to 1023.
func TestMatrixAndRange(t *testing.T) {
	const scale = `<Matrix inBitDepth="32f" outBitDepth="32f"><Array dim="3 4">` +
		`0.3 0.1 0.1 0.02  0.2 0.2 0.1 0.02  0 0 0.5 0.02</Array></Matrix>`
	const ranged = `<Range inBitDepth="%s" outBitDepth="%s" style="noClamp"><minInValue>%g</minInValue>` +
		`<maxInValue>%g</maxInValue><minOutValue>%g</minOutValue><maxOutValue>%g</maxOutValue></Range>`
	for _, c := range []struct {
		name, nodes string
		want        func(y float64) float64 // after log10
	}{
		{"range", fmt.Sprintf(ranged, "32f", "32f", 0.0, 1.0, 0.1, 0.6), func(y float64) float64 { return 0.1 + 0.5*y }},
		{"range of codes", fmt.Sprintf(ranged, "32f", "10i", 0.0, 1.0, 64.0, 940.0),
			func(y float64) float64 { return (64 + 876*y) / 1023 }},
	} {
		got := readText(t, clfOf(clfLog+c.nodes))
		for _, x := range lights() {
			if n, want := got.Encode(curve.Light(x)), c.want(math.Log10(x)); math.Abs(n-want) > 1e-12 {
				t.Errorf("%s: light %g at %g, want %g", c.name, x, n, want)
			}
		}
	}
	// three rows that do the same to neutrals, before the curve: light is mixed, and that is all
	got := readText(t, clfOf(scale+clfLog))
	for _, x := range lights() {
		if n, want := got.Encode(curve.Light(x)), math.Log10(0.5*x+0.02); math.Abs(n-want) > 1e-12 {
			t.Errorf("matrix: light %g at %g, want %g", x, n, want)
		}
	}
}

// TestChain: shapes one after the other encode in order and decode in the other order; the slope is the product's,
// that is the difference quotient's.
func TestChain(t *testing.T) {
	c := chain{curve.Line(5, 0.1), curve.Log(10, 0.25, 1, 0, 0.4), curve.Line(0.8, 0.05)}
	for _, x := range lights() {
		n := 0.8*(0.25*math.Log10(5*x+0.1)+0.4) + 0.05
		if got := c.Encode(x); math.Abs(got-n) > 1e-12 {
			t.Errorf("light %g at %g, want %g", x, got, n)
		}
		if got := c.Decode(n); math.Abs(got-x) > 1e-9*x+1e-12 {
			t.Errorf("n = %g reads %g, want %g", n, got, x)
		}
		const h = 1e-6
		slope := (c.Decode(n+h) - c.Decode(n-h)) / (2 * h)
		if got := c.Slope(n); math.Abs(got/slope-1) > 1e-4 {
			t.Errorf("slope %g at %g, want %g", got, n, slope)
		}
	}
}

// TestAffine: a line through two points goes through both, and its inverse undoes it.
func TestAffine(t *testing.T) {
	for _, p := range [][4]float64{{0, 0, 1, 1}, {64, 0.1, 940, 0.9}, {-2, -3, 5, 11}} {
		l := affineThrough(p[0], p[1], p[2], p[3])
		for _, x := range []float64{p[0], p[2], 0.3, -7} {
			y := l.gain*x + l.offset
			if back := l.inverse(); math.Abs(back.gain*y+back.offset-x) > 1e-9 {
				t.Errorf("%v: %g comes back as %g", p, x, back.gain*y+back.offset)
			}
			if math.Abs(l.shape().Encode(x)-y) > 1e-12 {
				t.Errorf("%v as a shape: %g", p, l.shape().Encode(x))
			}
		}
		if y := l.gain*p[2] + l.offset; math.Abs(y-p[3]) > 1e-9 || l.rises() != nil {
			t.Errorf("%v: %+v", p, l)
		}
	}
	for _, bad := range []affine{{0, 1}, {-1, 0}, {math.NaN(), 0}, {math.Inf(1), 0}, {1, math.NaN()}, {1, math.Inf(-1)}} {
		if bad.rises() == nil {
			t.Errorf("%+v rises", bad)
		}
	}
}

// TestTablesInterpolate: each kind of table file is straight between its entries, spaced evenly over its domain, and
// goes on with its end's slope.
func TestTablesInterpolate(t *testing.T) {
	const entries = 9
	value := func(k float64) float64 { return 0.01 + 0.2*k/8 + 0.7*k*k/64 } // light at n = k / 8
	var plain, triple strings.Builder
	for k := range entries {
		v := value(float64(k))
		fmt.Fprintf(&plain, "%.17g\n", v)
		fmt.Fprintf(&triple, "%.17g %.17g %.17g\n", v, v, v)
	}
	files := map[string]string{
		"a.cube":  fmt.Sprintf("LUT_1D_SIZE %d\n%s", entries, triple.String()),
		"a.spi1d": fmt.Sprintf("Version 1\nFrom 0 1\nLength %d\nComponents 1\n{\n%s}\n", entries, plain.String()),
		"a.clf":   clfOf(`<LUT1D inBitDepth="32f" outBitDepth="32f"><Array dim="9 1">` + plain.String() + `</Array></LUT1D>`),
	}
	for name, content := range files {
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
		c := load(t, path)
		for n := 0.0; n <= 1; n += 1.0 / 64 {
			k := math.Min(math.Floor(n*8), entries-2)
			share := n*8 - k
			want := (1-share)*value(k) + share*value(k+1)
			if got := float64(c.Decode(n)); math.Abs(got-want) > 1e-6 {
				t.Errorf("%s: n = %g reads %g, want %g", name, n, got, want)
			}
			if back := c.Encode(curve.Light(want)); math.Abs(back-n) > 1e-6 {
				t.Errorf("%s: light %g at %g, want %g", name, want, back, n)
			}
		}
	}
}
