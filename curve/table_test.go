package curve

import (
	"math"
	"testing"
)

func TestTableIsLightOfEveryCode(t *testing.T) {
	for _, c := range All() {
		for _, bits := range []int{8, 10, 12} {
			r := Reading{Curve: c, Range: Narrow, Bits: bits}
			table := r.Table()
			if n := 1 << bits; len(table.Light) != n || len(table.Slope) != n || len(table.Stops) != n {
				t.Fatalf("%s: %d entries at %d bits", c.Name, len(table.Light), bits)
			}
			for code, light := range table.Light {
				at := FileCode(code)
				if light != r.Light(at) || table.Slope[code] != r.LightPerCode(at) || table.Stops[code] != r.Stops(at) {
					t.Fatalf("%s: entry %d is %g light, %g a code, %g stops, want %g, %g, %g", c.Name, code,
						light, table.Slope[code], table.Stops[code], r.Light(at), r.LightPerCode(at), r.Stops(at))
				}
			}
		}
	}
}

// Between two codes the straight line lies on the curve as nearly as its bend lets it: within an
// eighth of the second difference.
func TestLightAtLiesOnTheCurve(t *testing.T) {
	for _, name := range []string{"S-Log3", "LogC3", "V-Log", "HLG", "BT.709"} {
		r := Reading{Curve: find(t, name), Range: Narrow, Bits: 10}
		table := r.Table()
		for code := FileCode(200); code < 900; code += 0.37 {
			i := int(code)
			bend := math.Abs(float64(table.Light[i+2] - 2*table.Light[i] + table.Light[i-2]))
			if off := math.Abs(float64(table.LightAt(code) - r.Light(code))); off > bend/8+1e-15 {
				t.Fatalf("%s: at code %g the table is off by %g light, %g of the bend there", name, code, off, off/bend)
			}
		}
	}
}

// Beyond the file's codes light follows the curve, as noise around black needs.
func TestLightAtBeyondTheCodes(t *testing.T) {
	r := Reading{Curve: find(t, "V-Log"), Range: Narrow, Bits: 10}
	table := r.Table()
	for _, code := range []FileCode{-20, -0.5, 1023.5, 1100} {
		if got, want := table.LightAt(code), r.Light(code); got != want {
			t.Errorf("code %g: %g light, want %g", code, got, want)
		}
	}
}

func TestAt(t *testing.T) {
	none := Stops(math.Inf(-1))
	table := []Stops{none, -4, -2, 3}
	for _, tc := range []struct {
		code FileCode
		want Stops
	}{
		{0, none}, {0.5, none}, {1, -4}, {1.25, -3.5}, {2, -2}, {2.5, 0.5}, {3, 3},
		{-1, none}, {3.5, 3}, {FileCode(math.Inf(1)), 3}, {FileCode(math.Inf(-1)), none},
	} {
		if got := At(table, tc.code); got != tc.want {
			t.Errorf("code %g: %g stops, want %g", tc.code, got, tc.want)
		}
	}
	if got := At(table, Unknown[FileCode]()); Finite(got) {
		t.Errorf("an unknown code gives %g", got)
	}
	if got := At([]Stops(nil), 1); Finite(got) {
		t.Errorf("no table gives %g", got)
	}
}
