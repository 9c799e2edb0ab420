package analyze

import (
	"math"

	"stopledger/curve"
	"stopledger/decode"
)

// A channelReader gives R', G' and B' of a frame row by row, as file codes on luma's scale, one
// value per chroma sample with the mean luma of its block. A gray frame gives its luma three
// times.
type channelReader struct {
	frame         *decode.Frame
	chroma        curve.Chroma
	width, height int // of a channel
	rgb           [3][]float32
}

func channelsOf(f *decode.Frame, c curve.Chroma) *channelReader {
	p := f.Planes[0]
	if f.Layout == decode.YCbCr {
		p = f.Planes[1]
	}
	r := &channelReader{frame: f, chroma: c, width: p.Width, height: p.Height}
	for i := range r.rgb {
		r.rgb[i] = make([]float32, p.Width)
	}
	return r
}

// row returns one row of the channels. The slices are reused.
func (r *channelReader) row(y int) [3][]float32 {
	if r.frame.Layout == decode.YCbCr {
		r.mix(y)
		return r.rgb
	}
	for i := range r.rgb {
		plane := 0
		if r.frame.Layout == decode.RGB {
			plane = i
		}
		widen(r.rgb[i], r.frame.Planes[plane].Row(y))
	}
	return r.rgb
}

func widen(out []float32, in []uint16) {
	for x, v := range in {
		out[x] = float32(v)
	}
}

// mix makes one row of channels from luma and chroma.
func (r *channelReader) mix(y int) {
	f, c := r.frame, r.chroma
	subX, subY := f.SubX(), f.SubY()
	luma := f.Planes[0]
	upper, lower := luma.Row(y*subY), luma.Row(min(y*subY+subY-1, luma.Height-1))
	cb, cr := f.Planes[1].Row(y), f.Planes[2].Row(y)
	mid, crR, cbG, crG, cbB := float32(c.Mid), float32(c.CrR), float32(c.CbG), float32(c.CrG), float32(c.CbB)
	red, green, blue := r.rgb[0], r.rgb[1], r.rgb[2]
	for x := range cb {
		left := x * subX
		right := min(left+subX-1, len(upper)-1)
		l := 0.25 * float32(int(upper[left])+int(upper[right])+int(lower[left])+int(lower[right]))
		u, v := float32(cb[x])-mid, float32(cr[x])-mid
		red[x] = l + crR*v
		green[x] = l + cbG*u + crG*v
		blue[x] = l + cbB*u
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
