package curve

import (
	"math"
	"testing"
)

// The coefficients as printed: Recommendations ITU-R BT.601-7 (2.5.2) and BT.2020-2 (table 4)
// give 1.402, 1.772, 1.4746 and 1.8814, BT.709-6 (3.3) 1.5748 and 1.8556; green follows from
// Y' = Kr R' + Kg G' + Kb B'. Narrow luma spans 219 steps, chroma 224 (BT.709-6, 4.6).
func TestChromaFactors(t *testing.T) {
	for _, tc := range []struct {
		m        Matrix
		crR, cbB float64
	}{
		{BT601, 1.402, 1.772}, {BT709, 1.5748, 1.8556}, {BT2020, 1.4746, 1.8814},
	} {
		for _, bits := range []int{8, 10, 12} {
			narrow := Reading{Range: Narrow, Bits: bits}.Chroma(tc.m)
			full := Reading{Range: Full, Bits: bits}.Chroma(tc.m)
			for _, pair := range [][2]float64{
				{full.CrR, tc.crR}, {full.CbB, tc.cbB},
				{narrow.CrR, tc.crR * 219 / 224}, {narrow.CbB, tc.cbB * 219 / 224},
				{narrow.Mid, math.Exp2(float64(bits - 1))}, {full.Mid, math.Exp2(float64(bits - 1))},
			} {
				if math.Abs(pair[0]-pair[1]) > 1e-12 {
					t.Errorf("%s, %d bits: %.6f, want %.6f", tc.m.Name, bits, pair[0], pair[1])
				}
			}
		}
	}
}

// 100 % colour bars come back from their narrow 10-bit codes: red, green and blue each alone
// at 940 with the others at 64.
func TestBarsComeBack(t *testing.T) {
	for _, m := range []Matrix{BT601, BT709, BT2020} {
		k := Reading{Range: Narrow, Bits: 10}.Chroma(m)
		for _, bar := range [][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {1, 1, 0}, {0.2, 0.5, 0.9}, {1, 1, 1}} {
			luma := m.Kr*bar[0] + m.Kg()*bar[1] + m.Kb*bar[2]
			cb, cr := (bar[2]-luma)/(2*(1-m.Kb)), (bar[0]-luma)/(2*(1-m.Kr))
			r, g, b := k.RGB(FileCode(64+876*luma), FileCode(512+896*cb), FileCode(512+896*cr))
			for i, got := range []FileCode{r, g, b} {
				if want := 64 + 876*bar[i]; math.Abs(float64(got)-want) > 1e-9 {
					t.Errorf("%s, bar %v: channel %d comes back at %.6f, want %.0f", m.Name, bar, i, got, want)
				}
			}
		}
	}
}
