package synth

import (
	"math"

	"stopledger/curve"
)

// A ToneTable takes light to file codes of luma's scale, tabulated over the bits of a float32:
// 512 steps in each factor of two, joined by straight lines. For a logarithmic curve of 262
// codes a decade a straight line is off by at most 1/8 x (1/512)^2 x 114 = 5e-5 of a 10-bit code.
type ToneTable struct {
	up, down []float32 // codes of positive and of negative light
	zero     float32
	exact    func(float64) float64
}

const (
	toneShift  = 23 - 9          // of a float32's bits: what is left are exponent and 9 bits of fraction
	toneLowest = (127 - 26) << 9 // 2^-26
	toneCount  = 36 << 9         // up to 2^10
)

// codesOf returns the file code of light by a reading; that of no light where the curve has none.
func codesOf(r curve.Reading) func(float64) float64 {
	zero := float64(r.CodeOf(0))
	return func(linear float64) float64 {
		if code := float64(r.CodeOf(curve.Light(linear))); !math.IsNaN(code) {
			return code
		}
		return zero
	}
}

// NewToneTable tabulates a function from light to file codes.
func NewToneTable(exact func(linear float64) float64) *ToneTable {
	t := &ToneTable{up: make([]float32, toneCount+1), down: make([]float32, toneCount+1), exact: exact}
	t.zero = float32(exact(0))
	for i := range t.up {
		v := float64(math.Float32frombits(uint32(toneLowest+i) << toneShift))
		t.up[i] = float32(t.exact(v))
		t.down[i] = float32(t.exact(-v))
	}
	return t
}

// Encode replaces linear light by codes, unrounded.
func (t *ToneTable) Encode(row []float32) {
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

// A developer turns rows of R', G', B' codes into planes.
type developer struct {
	sampling   Sampling
	kr, kg, kb float32
	mid        float32
	cb, cr     float32 // chroma codes per code of B' - Y' and R' - Y'
	low, high  float32
}

func newDeveloper(c Camera) developer {
	m := c.Matrix
	f := c.Reading().Chroma(m)
	low, high := c.codeLimits()
	return developer{
		sampling: c.Sampling, kr: float32(m.Kr), kg: float32(m.Kg()), kb: float32(m.Kb),
		mid: float32(f.Mid), cb: float32(1 / f.CbB), cr: float32(1 / f.CrR),
		low: float32(low), high: float32(high),
	}
}

// round returns the nearest code the camera may write.
func (d *developer) round(v float32) uint16 {
	return uint16(min(max(v, d.low), d.high) + 0.5)
}

// row writes row y of R', G', B' codes, which stands in the pair by whether y is even or odd: 4:2:0
// is written when both rows of its chroma have come.
func (d *developer) row(pair [2]*[3][]float32, p Planes, y int) {
	rows := pair[y%2]
	if d.sampling == RGB {
		d.rgb(rows, p, y)
		return
	}
	d.luma(rows, p, y)
	switch {
	case d.sampling != S420:
		d.chroma(rows, nil, p, y)
	case y%2 == 1:
		d.chroma(pair[0], rows, p, y/2)
	}
}

// rgb writes R', G', B' as they are.
func (d *developer) rgb(rows *[3][]float32, p Planes, y int) {
	for c := range rows {
		dst := p.Row(c, y)
		for i, v := range rows[c] {
			dst[i] = d.round(v)
		}
	}
}

// luma writes Y' and leaves the colour differences Cb and Cr, unrounded and around 0, in rows
// B and R.
func (d *developer) luma(rows *[3][]float32, p Planes, y int) {
	dst := p.Row(0, y)
	r, g, b := rows[0], rows[1], rows[2]
	for i := range dst {
		luma := d.kr*r[i] + d.kg*g[i] + d.kb*b[i]
		dst[i] = d.round(luma)
		b[i] = (b[i] - luma) * d.cb
		r[i] = (r[i] - luma) * d.cr
	}
}

// chroma writes one row of Cb and Cr from one row of colour differences, or from two whose
// mean it takes. Across, samples sit on the even luma samples (H.273 chroma location 0, "left")
// and are filtered by [1 2 1]/4; down, 4:2:0 samples sit half way between two rows.
func (d *developer) chroma(rows, below *[3][]float32, p Planes, y int) {
	if below != nil {
		mean(rows[0], below[0])
		mean(rows[2], below[2])
	}
	d.difference(p.Row(1, y), rows[2])
	d.difference(p.Row(2, y), rows[0])
}

func mean(row, other []float32) {
	for i, v := range other {
		row[i] = (row[i] + v) / 2
	}
}

func (d *developer) difference(dst []uint16, row []float32) {
	if d.sampling == S444 {
		for i, v := range row {
			dst[i] = d.round(v + d.mid)
		}
		return
	}
	for i := range dst {
		x := 2 * i
		left := row[max(x-1, 0)]
		dst[i] = d.round((left+2*row[x]+row[x+1])/4 + d.mid)
	}
}
