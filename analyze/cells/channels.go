package cells

import (
	"stopledger/curve"
	"stopledger/decode"
)

// A ChannelReader gives R', G' and B' of a frame, some rows at a time, as file codes on luma's scale, one
// value per chroma sample with the mean luma of its block. A gray frame gives its luma three
// times.
type ChannelReader struct {
	Width, Height int // of a channel, in samples

	frame  *decode.Frame
	chroma curve.Chroma
	rgb    [3][]float32 // rows from first on
	first  int
	rows   int
}

// blockRows is how many rows are mixed at a time.
const blockRows = Size

// Channels returns a reader of a frame's channels.
func Channels(f *decode.Frame, c curve.Chroma) *ChannelReader {
	p := f.Planes[0]
	if f.Layout == decode.YCbCr {
		p = f.Planes[1]
	}
	r := &ChannelReader{frame: f, chroma: c, Width: p.Width, Height: p.Height}
	for i := range r.rgb {
		r.rgb[i] = make([]float32, blockRows*p.Width)
	}
	return r
}

// Block returns the rows from y on, one after the other: Size of them, or those that are left. The slices are
// reused for later rows.
func (r *ChannelReader) Block(y int) (block [3][]float32) {
	if rows := min(blockRows, r.Height-y); y != r.first || r.rows != rows {
		r.first, r.rows = y, rows
		r.fill()
	}
	for i := range block {
		block[i] = r.rgb[i][:r.rows*r.Width]
	}
	return block
}

// fill makes the rows of a block.
func (r *ChannelReader) fill() {
	if r.frame.Layout == decode.YCbCr {
		mix(r.frame, r.chroma, r.first, r.rows, r.rgb)
		return
	}
	for i := range r.rgb {
		plane := 0
		if r.frame.Layout == decode.RGB {
			plane = i
		}
		for y := range r.rows {
			row := r.rgb[i][y*r.Width : (y+1)*r.Width]
			for x, v := range r.frame.Planes[plane].Row(r.first + y) {
				row[x] = float32(v)
			}
		}
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
