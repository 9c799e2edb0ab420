package curve

import "math"

// A Matrix is the non-constant-luminance Y'CbCr encoding of a file: Y' = Kr R' + Kg G' + Kb B'.
type Matrix struct {
	Name   string  // bt601, bt709, bt2020
	Kr, Kb float64 // weights of R' and B' in luma; that of G' is the rest
}

// Luma weights: Recommendations ITU-R BT.601-7 (2.5.1), BT.709-6 (3.2), BT.2020-2 (table 4).
var (
	BT601  = Matrix{"bt601", 0.299, 0.114}
	BT709  = Matrix{"bt709", 0.2126, 0.0722}
	BT2020 = Matrix{"bt2020", 0.2627, 0.0593}
)

// Kg returns the weight of G'.
func (m Matrix) Kg() float64 { return 1 - m.Kr - m.Kb }

// Chroma holds the factors that take a file's Cb and Cr codes to R', G' and B' codes on the
// scale of its luma: R' = Y + CrR (Cr - Mid), G' = Y + CbG (Cb - Mid) + CrG (Cr - Mid),
// B' = Y + CbB (Cb - Mid). What comes out can be read like a luma code.
type Chroma struct {
	Mid                float64 // file code of no chroma: 2^(bits-1)
	CrR, CbG, CrG, CbB float64 // luma codes per chroma code
}

// Chroma returns the factors for a file of this reading's range and depth.
func (r Reading) Chroma(m Matrix) Chroma {
	// Narrow luma spans 219 steps where chroma spans 224; full range spans both alike.
	span := 219.0 / 224.0
	if r.Range == Full {
		span = 1
	}
	return Chroma{
		Mid: math.Exp2(float64(r.Bits) - 1),
		CrR: 2 * (1 - m.Kr) * span,
		CbB: 2 * (1 - m.Kb) * span,
		CbG: -2 * m.Kb * (1 - m.Kb) / m.Kg() * span,
		CrG: -2 * m.Kr * (1 - m.Kr) / m.Kg() * span,
	}
}

// RGB returns R', G' and B' as file codes on the scale of luma.
func (c Chroma) RGB(y, cb, cr FileCode) (red, green, blue FileCode) {
	u, v := float64(cb)-c.Mid, float64(cr)-c.Mid
	return y + FileCode(c.CrR*v), y + FileCode(c.CbG*u+c.CrG*v), y + FileCode(c.CbB*u)
}
