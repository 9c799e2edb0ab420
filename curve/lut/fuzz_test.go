package lut

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"stopledger/curve"
)

// fuzzReader feeds a reader anything. What it takes for a curve must be one: never NaN, never
// falling, and invertible where it does not hold.
func fuzzReader(f *testing.F, pattern string, read func([]byte) (*curve.Curve, error), seeds ...string) {
	files, err := filepath.Glob("testdata/" + pattern)
	if err != nil {
		f.Fatal(err)
	}
	for _, path := range files {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	for _, s := range seeds {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := read(data)
		if err == nil {
			err = usable(c)
		}
		if err != nil {
			return
		}
		last := math.Inf(-1)
		for i := -10; i <= 110; i++ {
			n := c.Top * float64(i) / 100
			x := float64(c.Decode(n))
			back := c.Encode(curve.Light(x))
			if math.IsNaN(x) || math.IsNaN(back) || math.IsNaN(c.DecodeSlope(n)) {
				t.Fatalf("n = %g: reads %g, encoded %g, slope %g", n, x, back, c.DecodeSlope(n))
			}
			if x < last-1e-9*math.Abs(last) {
				t.Fatalf("n = %g: light falls from %g to %g", n, last, x)
			}
			last = x
		}
	})
}

func FuzzLoadCLF(f *testing.F) {
	fuzzReader(f, "*.clf", readCLF,
		clfOf(clfLog),
		clfLog10("logToLin", `<LogParams base="2" logSideSlope="0.1" linSideOffset="-1"/>`),
		clfTable("<InputDescriptor>code</InputDescriptor>", "4 3", "0 0 0 0 0 0 0.1 0.1 0.1 1 1 1"))
}

func FuzzLoadCube(f *testing.F) {
	fuzzReader(f, "*.cube", readCube,
		"TITLE \"x\"\nLUT_1D_SIZE 3\nDOMAIN_MIN -1 -1 -1\nDOMAIN_MAX 1 1 1\n0 0 0\n0.1 0.1 0.1\n1 1 1\n",
		"LUT_1D_SIZE 3\nLUT_1D_INPUT_RANGE 0 2\n0 0 0\n0.9 0.9 0.9\n1 1 1\n")
}

func FuzzLoadSpi1d(f *testing.F) {
	fuzzReader(f, "*.spi1d", readSpi1d,
		"Version 1\nFrom 0.0 1.0\nLength 3\nComponents 1\n{\n0\n0.1\n1\n}\n")
}

func FuzzLoadColumns(f *testing.F) {
	fuzzReader(f, "*.txt", readColumns, "0;0\n0;0.1\n1;0.5\n2;0.5\n", "-1 64\n0.18 420\n10 940\n")
}
