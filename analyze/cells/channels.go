package cells

import (
	"stopledger/curve"
	"stopledger/decode"
)

// A ChannelReader gives R', G' and B' of a frame row by row, as file codes on luma's scale, one
// value per chroma sample with the mean luma of its block. A gray frame gives its luma three
// times.
type ChannelReader struct {
	Width, Height int // of a channel, in samples

	frame  *decode.Frame
	chroma curve.Chroma
	rgb    [3][]float32
}

// Channels returns a reader of a frame's channels.
func Channels(f *decode.Frame, c curve.Chroma) *ChannelReader {
	p := f.Planes[0]
	if f.Layout == decode.YCbCr {
		p = f.Planes[1]
	}
	r := &ChannelReader{frame: f, chroma: c, Width: p.Width, Height: p.Height}
	for i := range r.rgb {
		r.rgb[i] = make([]float32, p.Width)
	}
	return r
}

// Row returns one row of R', G' and B'. The slices are reused for the next row.
func (r *ChannelReader) Row(y int) [3][]float32 {
	if r.frame.Layout == decode.YCbCr {
		r.mix(y)
		return r.rgb
	}
	for i := range r.rgb {
		plane := 0
		if r.frame.Layout == decode.RGB {
			plane = i
		}
		for x, v := range r.frame.Planes[plane].Row(y) {
			r.rgb[i][x] = float32(v)
		}
	}
	return r.rgb
}

// mix makes one row of channels from luma and chroma.
func (r *ChannelReader) mix(y int) {
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

// Rounding returns the variance, in file code^2, that rounding to whole codes leaves in R', G' and
// B' of frames like f as a ChannelReader gives them: 1/12 code^2, uniform over one code, where the
// file holds the channels; where it holds Y', Cb and Cr, a mean of several rounded Y' and what the
// matrix takes of the other two.
func Rounding(f *decode.Frame, c curve.Chroma) [3]float64 {
	const uniform = 1.0 / 12
	if f.Layout != decode.YCbCr {
		return [3]float64{uniform, uniform, uniform}
	}
	luma := float64(GridOf(f).PerCell) / Area
	return [3]float64{
		uniform * (luma + c.CrR*c.CrR),
		uniform * (luma + (c.CbG*c.CbG + c.CrG*c.CrG)),
		uniform * (luma + c.CbB*c.CbB),
	}
}
