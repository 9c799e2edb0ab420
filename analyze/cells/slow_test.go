package cells

import (
	"math/big"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
)

// The slow, obvious version of what a walk adds up. Sums are big.Int, so that they cannot
// overflow; samples are looked up one by one.

// slowLuma returns the luma of one pixel.
func slowLuma(f *decode.Frame, m curve.Matrix, x, y int) int64 {
	at := func(p int) int64 { return int64(f.Planes[p].Samples[y*f.Planes[p].Stride+x]) }
	if f.Layout != decode.RGB {
		return at(0)
	}
	// In 1/65536, green taking what red and blue leave.
	kr, kb := int64(m.Kr*65536+0.5), int64(m.Kb*65536+0.5)
	return (kr*at(0) + (65536-kr-kb)*at(1) + kb*at(2) + 32768) / 65536
}

// A slowCell is one cell of one frame, and of its difference to the frame before.
type slowCell struct {
	pixels     int64
	sum, sumSq *big.Int
	deviation  *big.Int // Area x the squared deviation of the differences; 0 unless a whole cell of a pair
	repeated   bool     // of such a cell
}

// slowCellOf adds up the cell whose corner is (left, top).
func slowCellOf(f, before *decode.Frame, m curve.Matrix, left, top int) slowCell {
	c := slowCell{sum: new(big.Int), sumSq: new(big.Int), deviation: new(big.Int)}
	width, height := f.Planes[0].Width, f.Planes[0].Height
	square, mean, across, down := new(big.Int), new(big.Int), new(big.Int), new(big.Int)
	add := func(to *big.Int, v int64) { to.Add(to, big.NewInt(v)) }
	changed := false
	for y := top; y < min(top+16, height); y++ {
		var v1, v2, d1, d2, tilt int64 // of a row: sixteen squares of 16 bits
		for x := left; x < min(left+16, width); x++ {
			v := slowLuma(f, m, x, y)
			c.pixels++
			v1 += v
			v2 += v * v
			if before == nil {
				continue
			}
			d := v - slowLuma(before, m, x, y)
			changed = changed || d != 0
			d1 += d
			d2 += d * d
			tilt += sign(x-left >= 8) * d
		}
		add(c.sum, v1)
		add(c.sumSq, v2)
		add(square, d2)
		add(mean, d1)
		add(across, tilt)
		add(down, sign(y-top >= 8)*d1)
	}
	if before != nil && c.pixels == 256 {
		c.repeated = !changed
		c.deviation.Mul(square, big.NewInt(256))
		for _, contrast := range []*big.Int{mean, across, down} {
			c.deviation.Sub(c.deviation, new(big.Int).Mul(contrast, contrast))
		}
	}
	return c
}

func sign(plus bool) int64 {
	if plus {
		return 1
	}
	return -1
}

// slowClips are counts of samples at the ceiling.
type slowClips struct{ r, g, b, any, all uint32 }

// slowClipped counts the chroma samples at the ceiling in one cell of one frame.
func slowClipped(f *decode.Frame, k testframes.Kind, t Thresholds, left, top int) (n slowClips) {
	width, height := f.Planes[0].Width, f.Planes[0].Height
	for y := top; y < min(top+16, height); y += k.Y {
		for x := left; x < min(left+16, width); x += k.X {
			rgb := slowChannels(f, k, t, x, y)
			r, g, b := rgb[0] >= t.limit[0], rgb[1] >= t.limit[1], rgb[2] >= t.limit[2]
			n.r += count(r)
			n.g += count(g)
			n.b += count(b)
			n.any += count(r || g || b)
			n.all += count(r && g && b)
		}
	}
	return n
}

func count(yes bool) uint32 {
	if yes {
		return 1
	}
	return 0
}

// slowChannels returns R', G' and B' of the block at (x, y), in the fixed point of thresholds.
func slowChannels(f *decode.Frame, k testframes.Kind, t Thresholds, x, y int) [3]int64 {
	at := func(p, x, y int) int64 {
		q := f.Planes[p]
		return int64(q.Samples[min(y, q.Height-1)*q.Stride+min(x, q.Width-1)])
	}
	const one = 1 << fixedBits
	switch f.Layout {
	case decode.RGB:
		return [3]int64{one * at(0, x, y), one * at(1, x, y), one * at(2, x, y)}
	case decode.Gray:
		return [3]int64{one * at(0, x, y), one * at(0, x, y), one * at(0, x, y)}
	}
	luma := one / 4 * (at(0, x, y) + at(0, x+k.X-1, y) + at(0, x, y+k.Y-1) + at(0, x+k.X-1, y+k.Y-1))
	cb, cr := at(1, x/k.X, y/k.Y)-t.mid, at(2, x/k.X, y/k.Y)-t.mid
	return [3]int64{luma + t.crR*cr, luma + t.cbG*cb + t.crG*cr, luma + t.cbB*cb}
}
