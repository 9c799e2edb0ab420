package synth

import (
	"math"

	"stopledger/curve"
)

// A toneTable is a curve as file codes of luma's scale, tabulated over the bits of a float32:
// 512 steps in each factor of two, joined by straight lines. For a logarithmic curve of 262
// codes a decade a straight line is off by at most 1/8 x (1/512)^2 x 114 = 5e-5 of a 10-bit code.
type toneTable struct {
	up, down []float32 // codes of positive and of negative light
	zero     float32
	exact    func(float64) float64
}

const (
	toneShift  = 23 - 9          // of a float32's bits: what is left are exponent and 9 bits of fraction
	toneLowest = (127 - 26) << 9 // 2^-26
	toneCount  = 36 << 9         // up to 2^10
)

func newToneTable(r curve.Reading) *toneTable {
	t := &toneTable{up: make([]float32, toneCount+1), down: make([]float32, toneCount+1)}
	zero := float64(r.CodeOf(0))
	t.exact = func(linear float64) float64 {
		if code := float64(r.CodeOf(curve.Light(linear))); !math.IsNaN(code) {
			return code
		}
		return zero
	}
	t.zero = float32(zero)
	for i := range t.up {
		v := float64(math.Float32frombits(uint32(toneLowest+i) << toneShift))
		t.up[i] = float32(t.exact(v))
		t.down[i] = float32(t.exact(-v))
	}
	return t
}

// encode replaces linear light by codes, unrounded.
func (t *toneTable) encode(row []float32) {
	const fraction = 1<<toneShift - 1
	for i, v := range row {
		b := math.Float32bits(v)
		table := t.up
		if b>>31 != 0 {
			table = t.down
		}
		b &= 1<<31 - 1
		k := int(b>>toneShift) - toneLowest
		switch {
		case k < 0:
			row[i] = t.zero
		case k >= toneCount:
			row[i] = float32(t.exact(float64(v)))
		default:
			a := table[k]
			row[i] = a + (table[k+1]-a)*(float32(b&fraction)*(1.0/(1<<toneShift)))
		}
	}
}
