package noise

import (
	"stopledger/analyze/cells"
	"stopledger/analyze/robust"
	"stopledger/curve"
	"stopledger/decode"
)

// detail is what a closer look at a group's first pair of frames gives: noise of R', G', B', its
// grain, the standing pattern under it, and how its differences are distributed. It costs more
// than the walk, so that only some groups get one.
type detail struct {
	luma     []lookSums
	channels [3][]lookSums // one value per chroma sample; empty for gray frames
	kurtosis float64       // of luma differences, median over cells; NaN
	fields   float64       // displacement between fields, pixels; NaN
}

// look measures a frame against the one before it, one row of cells at a time.
func look(f *cells.Frame, c curve.Chroma) *detail {
	width := f.Luma.Width
	d := &detail{luma: make([]lookSums, 0, width/cells.Size*(f.Luma.Height/cells.Size))}
	now, was := make([]float32, cells.Size*width), make([]float32, cells.Size*width)
	for y := 0; y+cells.Size <= f.Luma.Height; y += cells.Size {
		for dy := range cells.Size {
			widen(now[dy*width:][:width], f.Luma.Row(y+dy))
			widen(was[dy*width:][:width], f.LumaBefore.Row(y+dy))
		}
		d.luma = lookAt(d.luma, now, was, width)
	}
	var fourth []float64
	for i := range d.luma {
		if cell := d.luma[i].cell(); cell.variance > float64(LeastSigma*LeastSigma) {
			fourth = append(fourth, cell.fourth)
		}
	}
	d.kurtosis = robust.Median(fourth)
	d.fields = fieldShift(f.Luma)
	if f.Layout != decode.Gray {
		d.lookAtChannels(cells.Channels(f.Frame, c), cells.Channels(f.Before, c))
	}
	return d
}

func (d *detail) lookAtChannels(f, before *cells.ChannelReader) {
	for i := range d.channels {
		d.channels[i] = make([]lookSums, 0, f.Width/cells.Size*(f.Height/cells.Size))
	}
	for y := 0; y+cells.Size <= f.Height; y += cells.Size {
		now, was := f.Block(y), before.Block(y)
		for i := range now {
			d.channels[i] = lookAt(d.channels[i], now[i], was[i], f.Width)
		}
	}
}

func widen(out []float32, in []uint16) {
	for x, v := range in {
		out[x] = float32(v)
	}
}
