package analyze

import (
	"math"

	"stopledger/curve"
	"stopledger/decode"
)

// channelRows calls visit with R', G' and B' of each row of a frame, as file codes on luma's
// scale, one value per chroma sample with the mean luma of its block. The slices are reused.
// A gray frame gives its luma three times.
func channelRows(f *decode.Frame, c curve.Chroma, visit func(y int, rgb [3][]float32)) {
	p := f.Planes[0]
	if f.Layout == decode.YCbCr {
		p = f.Planes[1]
	}
	var rgb [3][]float32
	for i := range rgb {
		rgb[i] = make([]float32, p.Width)
	}
	for y := range p.Height {
		switch f.Layout {
		case decode.YCbCr:
			chromaRow(f, c, y, rgb)
		default:
			for i := range rgb {
				row := f.Planes[0].Row(y)
				if f.Layout == decode.RGB {
					row = f.Planes[i].Row(y)
				}
				for x, v := range row {
					rgb[i][x] = float32(v)
				}
			}
		}
		visit(y, rgb)
	}
}

func chromaRow(f *decode.Frame, c curve.Chroma, y int, rgb [3][]float32) {
	subX, subY := f.SubX(), f.SubY()
	luma := f.Planes[0]
	upper, lower := luma.Row(y*subY), luma.Row(min(y*subY+subY-1, luma.Height-1))
	cb, cr := f.Planes[1].Row(y), f.Planes[2].Row(y)
	mid, crR, cbG, crG, cbB := float32(c.Mid), float32(c.CrR), float32(c.CbG), float32(c.CrG), float32(c.CbB)
	for x := range cb {
		left := x * subX
		right := min(left+subX-1, len(upper)-1)
		l := 0.25 * (float32(upper[left]) + float32(upper[right]) + float32(lower[left]) + float32(lower[right]))
		u, v := float32(cb[x])-mid, float32(cr[x])-mid
		rgb[0][x] = l + crR*v
		rgb[1][x] = l + cbG*u + crG*v
		rgb[2][x] = l + cbB*u
	}
}

// fixedBits is the binary fraction of the fixed-point numbers in thresholds.
const fixedBits = 14

// thresholds are the codes from which a channel counts as clipped, in fixed point, with the
// matrix that makes the channels.
type thresholds struct {
	limit              [3]int64 // R, G, B; math.MaxInt64 where the channel does not clip
	lowest             int64    // no block whose four luma samples sum to less can clip
	mid                int64
	crR, cbG, crG, cbB int64
}

// newThresholds takes file codes, +Inf for a channel without ceiling.
func newThresholds(codes [3]float64, c curve.Chroma) thresholds {
	fixed := func(v float64) int64 { return int64(math.Round(v * (1 << fixedBits))) }
	t := thresholds{mid: int64(c.Mid), crR: fixed(c.CrR), cbG: fixed(c.CbG), crG: fixed(c.CrG), cbB: fixed(c.CbB)}
	lowest := math.Inf(1)
	boost := [3]float64{c.CrR, math.Abs(c.CbG) + math.Abs(c.CrG), c.CbB}
	for i, code := range codes {
		if math.IsInf(code, 1) {
			t.limit[i] = math.MaxInt64
			continue
		}
		t.limit[i] = fixed(code)
		lowest = min(lowest, code-boost[i]*c.Mid)
	}
	if !math.IsInf(lowest, 1) {
		t.lowest = int64(4 * lowest)
	}
	return t
}

// any tells whether some channel has a ceiling.
func (t *thresholds) any() bool {
	return t.limit != [3]int64{math.MaxInt64, math.MaxInt64, math.MaxInt64}
}
