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
	luma     []detailCell
	channels [3][]detailCell // one value per chroma sample; empty for gray frames
	kurtosis float64         // of luma differences, median over cells; NaN
	fields   float64         // displacement between fields, pixels; NaN
}

// look measures a frame against the one before it, one row of cells at a time.
func look(f *cells.Frame, c curve.Chroma) *detail {
	d := &detail{}
	now, was := newStripe(f.Luma.Width), newStripe(f.Luma.Width)
	for y := 0; y+cells.Size <= f.Luma.Height; y += cells.Size {
		for dy := range cells.Size {
			widen(now.row(dy), f.Luma.Row(y+dy))
			widen(was.row(dy), f.LumaBefore.Row(y+dy))
		}
		d.luma = appendCells(d.luma, now, was)
	}
	var fourth []float64
	for _, cell := range d.luma {
		if cell.variance > float64(LeastSigma*LeastSigma) {
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
	var now, was [3]stripe
	for i := range now {
		now[i], was[i] = newStripe(f.Width), newStripe(f.Width)
	}
	for y := 0; y+cells.Size <= f.Height; y += cells.Size {
		for dy := range cells.Size {
			rgb, old := f.Row(y+dy), before.Row(y+dy)
			for i := range rgb {
				copy(now[i].row(dy), rgb[i])
				copy(was[i].row(dy), old[i])
			}
		}
		for i := range now {
			d.channels[i] = appendCells(d.channels[i], now[i], was[i])
		}
	}
}

// A stripe is one row of cells of a plane.
type stripe struct {
	width   int
	samples []float32
}

func newStripe(width int) stripe { return stripe{width, make([]float32, width*cells.Size)} }

func (s stripe) row(y int) []float32 { return s.samples[y*s.width : (y+1)*s.width] }

func widen(out []float32, in []uint16) {
	for x, v := range in {
		out[x] = float32(v)
	}
}

// appendCells measures every whole cell of a stripe.
func appendCells(list []detailCell, now, was stripe) []detailCell {
	var difference, mean plane
	for x := 0; x+cells.Size <= now.width; x += cells.Size {
		var sum float32
		for y := range cells.Size {
			cur, prev := now.row(y)[x:x+cells.Size], was.row(y)[x:x+cells.Size]
			for i, c := range cur {
				difference[y*cells.Size+i] = c - prev[i]
				mean[y*cells.Size+i] = (c + prev[i]) / 2
				sum += (c + prev[i]) / 2
			}
		}
		list = append(list, detailOf(float64(sum)/cells.Area, &difference, &mean))
	}
	return list
}
