package curve

import (
	"fmt"
	"math"
	"testing"
)

func find(t testing.TB, name string) *Curve {
	c, err := Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Codes of known signals for every convention, range and depth.
//   - narrow, video: round((219 V + 16) x 2^(bits-8)), Recommendations ITU-R BT.709-6 (4.6)
//     and BT.2100-2 (table 9);
//   - narrow, data: the printed 10-bit code x 2^(bits-10). 12 bits are printed as 4 x 10 bits:
//     V-Log/V-Gamut REFERENCE MANUAL, Fig. 2.2 (128 512, 433 1732, 602 2408);
//     S-Log2 Technical Paper (64 256, 940 3760);
//   - full: n (2^bits - 1), BT.2100-2 (table 9).
func TestCodesOfSignals(t *testing.T) {
	for _, tc := range []struct {
		curve   string
		n       float64
		rng     Range
		codes   [4]float64 // 8, 10, 12, 16 bits
		percent float64
	}{
		{"BT.709", 0, Narrow, [4]float64{16, 64, 256, 4096}, 0},
		{"BT.709", 1, Narrow, [4]float64{235, 940, 3760, 60160}, 100},
		{"BT.709", 0, Full, [4]float64{0, 0, 0, 0}, 0},
		{"BT.709", 1, Full, [4]float64{255, 1023, 4095, 65535}, 100},
		{"S-Log2", 959.0 / 876, Narrow, [4]float64{255.75, 1023, 4092, 65472}, 109.4749},
		{"S-Log3", 420.0 / 1023, Narrow, [4]float64{105, 420, 1680, 26880}, 40.6393},
		{"S-Log3", 420.0 / 1023, Full, [4]float64{104.6921, 420, 1681.2317, 26905.8651}, 40.6393},
		{"S-Log3", 95.0 / 1023, Narrow, [4]float64{23.75, 95, 380, 6080}, 3.5388},
		{"V-Log", 433.0 / 1023, Narrow, [4]float64{108.25, 433, 1732, 27712}, 42.1233},
		{"V-Log", 0.125, Narrow, [4]float64{31.96875, 127.875, 511.5, 8184}, 7.2917},
		{"Canon Log", 1, Narrow, [4]float64{255.75, 1023, 4092, 65472}, 109.4749},
		{"Canon Log", 1, Full, [4]float64{255, 1023, 4095, 65535}, 109.4749},
	} {
		for i, bits := range []int{8, 10, 12, 16} {
			r := Reading{Curve: find(t, tc.curve), Range: tc.rng, Bits: bits}
			name := fmt.Sprintf("%s n=%.4f range %d, %d bits", tc.curve, tc.n, tc.rng, bits)
			code := r.Recorded(tc.n)
			if math.Abs(float64(code)-tc.codes[i]) > 5.1e-5 {
				t.Errorf("%s: code %.4f, want %.4f", name, code, tc.codes[i])
			}
			if got := r.Signal(code); math.Abs(got-tc.n) > 1e-15 {
				t.Errorf("%s: signal comes back as %.17g", name, got)
			}
			if got := float64(r.Percent(code)); math.Abs(got-tc.percent) > 5.1e-5 {
				t.Errorf("%s: %.4f %%, want %.4f", name, got, tc.percent)
			}
			if got, want := r.Code(code), Code(float64(code)*1024/math.Exp2(float64(bits))); got != want {
				t.Errorf("%s: on the 10-bit scale %g, want %g", name, got, want)
			}
		}
	}
}

// The grey of S-Log3 reads 0 stops in every file that holds it, and light survives the way
// to a code and back.
func TestLightOfCodes(t *testing.T) {
	for _, c := range everyCurve(t) {
		for _, rng := range []Range{Narrow, Full} {
			for _, bits := range []int{8, 10, 12, 16} {
				r := Reading{Curve: c, Range: rng, Bits: bits}
				for _, stops := range []Stops{-6, -2, 0, 1, 2} {
					code := r.CodeOf(stops.Light())
					if got := r.Stops(code); math.Abs(float64(got-stops)) > 1e-9 {
						t.Errorf("%s, range %d, %d bits: %g stops come back as %g", c.Name, rng, bits, stops, got)
					}
				}
			}
		}
	}
}

// One code's worth of light is the mean of the differences to both neighbours, as closely as
// the third derivative lets it be: a tenth of a percent above the toe at 12 bits.
func TestLightPerCode(t *testing.T) {
	for _, name := range []string{"S-Log3", "LogC3", "V-Log", "HLG", "BT.709"} {
		for _, rng := range []Range{Narrow, Full} {
			r := Reading{Curve: find(t, name), Range: rng, Bits: 12}
			for _, stops := range []Stops{-2, 0, 2} {
				code := r.CodeOf(stops.Light())
				want := float64(r.Light(code+1)-r.Light(code-1)) / 2
				if got := r.LightPerCode(code); math.Abs(got/want-1) > 1e-3 {
					t.Errorf("%s, range %d at %g stops: %g light a code, want %g", name, rng, stops, got, want)
				}
			}
		}
	}
}

func TestStops(t *testing.T) {
	for _, tc := range []struct{ linear, stops float64 }{
		{0.18, 0}, {0.36, 1}, {0.045, -2}, {0.9, math.Log2(5)},
		{0, math.Inf(-1)}, {-0.1, math.Inf(-1)}, {math.NaN(), math.Inf(-1)},
	} {
		if got := float64(Light(tc.linear).Stops()); got != tc.stops {
			t.Errorf("Light(%g).Stops() = %g, want %g", tc.linear, got, tc.stops)
		}
		if tc.linear > 0 {
			if got := float64(Stops(tc.stops).Light()); math.Abs(got-tc.linear) > 1e-15 {
				t.Errorf("Stops(%g).Light() = %g, want %g", tc.stops, got, tc.linear)
			}
		}
	}
}

// A level is a code on the 10-bit scale with its percent: S-Log3 grey is printed as code 420, 41 %
// (Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3), in every depth.
func TestLevel(t *testing.T) {
	for bits, code := range map[int]FileCode{10: 420, 12: 1680, 16: 26880} {
		l := Reading{Curve: find(t, "S-Log3"), Range: Narrow, Bits: bits}.Level(code)
		if l.Code != 420 || Round(l.Percent, 0) != 41 {
			t.Errorf("%d bits: code %g is level %+v", bits, code, l)
		}
	}
}

// Noise of file codes counts on the 10-bit scale: two 12-bit codes are half a code.
func TestVariance(t *testing.T) {
	for bits, want := range map[int]CodeVariance{8: 64, 10: 4, 12: 0.25, 16: 4.0 / 4096} {
		if got := (Reading{Bits: bits}).Variance(4); got != want {
			t.Errorf("%d bits: a variance of 4 is %g codes^2, want %g", bits, got, want)
		}
	}
}

// Narrow-range files keep 1020..1023 for timing references, 4080..4095 at 12 bits; full-range
// files hold picture in every code (BT.2100-2, table 9). V-Log ends at n = 1, beyond the codes.
func TestTopAndLast(t *testing.T) {
	for _, tc := range []struct {
		curve     string
		rng       Range
		bits      int
		last, top FileCode
	}{
		{"V-Log", Narrow, 10, 1019, 1019}, {"V-Log", Full, 10, 1023, 1023}, {"V-Log", Narrow, 12, 4079, 4079},
		{"V-Log", Narrow, 8, 254, 254}, {"BT.709", Narrow, 10, 1019, 940}, {"BT.709", Full, 10, 1023, 1023},
	} {
		r := Reading{Curve: find(t, tc.curve), Range: tc.rng, Bits: tc.bits}
		if last, top := r.Last(), r.Top(); last != tc.last || top != tc.top {
			t.Errorf("%s, range %d, %d bits: last %g, top %g, want %g and %g",
				tc.curve, tc.rng, tc.bits, last, top, tc.last, tc.top)
		}
	}
}
