package analyze

import (
	"stopledger/curve"
	"stopledger/decode"
)

// detail is what a closer look at a group's first pair of frames gives: noise of R', G', B', its
// grain, the standing pattern under it, and how its differences are distributed. It costs more
// than the walk, so that only some groups get one.
type detail struct {
	luma     []detailCell
	channels [3][]detailCell // one value per chroma sample
	kurtosis float64         // of luma differences, median over cells; NaN
}

// A detailCell is one cell of cellSize x cellSize samples of a plane.
type detailCell struct {
	cellNoise
	fixed       float64 // variance of the mean of both frames less its plane, file code^2
	row, column float64 // variance of that residual's row and column means
	fourth      float64 // fourth moment of differences / squared variance
	across      [lags]float64
	down        [lags]float64 // covariance of differences / 2, file code^2
}

// look measures a pair of consecutive frames, one row of cells at a time.
func look(f, before *decode.Frame, luma, lumaBefore decode.Plane, c curve.Chroma) *detail {
	d := &detail{}
	now, was := newStripe(luma.Width), newStripe(luma.Width)
	for y := 0; y+cellSize <= luma.Height; y += cellSize {
		for dy := range cellSize {
			widen(now.row(dy), luma.Row(y+dy))
			widen(was.row(dy), lumaBefore.Row(y+dy))
		}
		d.luma = appendCells(d.luma, now, was)
	}
	var fourth []float64
	for _, cell := range d.luma {
		if cell.variance > LeastSigma*LeastSigma {
			fourth = append(fourth, cell.fourth)
		}
	}
	d.kurtosis = median(fourth)
	if f.Layout != decode.Gray {
		d.lookAtChannels(channelsOf(f, c), channelsOf(before, c))
	}
	return d
}

func (d *detail) lookAtChannels(f, before *channelReader) {
	var now, was [3]stripe
	for i := range now {
		now[i], was[i] = newStripe(f.width), newStripe(f.width)
	}
	for y := 0; y+cellSize <= f.height; y += cellSize {
		for dy := range cellSize {
			rgb, old := f.row(y+dy), before.row(y+dy)
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

// A stripe is cellSize rows of a plane.
type stripe struct {
	width   int
	samples []float32
}

func newStripe(width int) stripe { return stripe{width, make([]float32, width*cellSize)} }

func (s stripe) row(y int) []float32 { return s.samples[y*s.width : (y+1)*s.width] }

// appendCells measures every whole cell of a stripe.
func appendCells(cells []detailCell, now, was stripe) []detailCell {
	var d, a [cellArea]float32
	for x := 0; x+cellSize <= now.width; x += cellSize {
		var sum float32
		for y := range cellSize {
			cur, prev := now.row(y)[x:x+cellSize], was.row(y)[x:x+cellSize]
			for i, c := range cur {
				d[y*cellSize+i] = c - prev[i]
				a[y*cellSize+i] = (c + prev[i]) / 2
				sum += (c + prev[i]) / 2
			}
		}
		cell := detailCell{cellNoise: cellNoise{code: float64(sum) / cellArea}}
		removePlane(&d)
		removePlane(&a)
		cell.differences(&d)
		cell.pattern(&a)
		cells = append(cells, cell)
	}
	return cells
}

// bandFreedom is the degrees of freedom of a cell's row means, and of its column means, of which
// the plane takes two.
const bandFreedom = cellSize - 2

// removePlane takes the least-squares plane out of a cell: three degrees of freedom.
func removePlane(v *[cellArea]float32) {
	const centre = (cellSize - 1) / 2.0
	// The sum over a cell of (x - centre)^2.
	const moment = cellArea * (cellSize*cellSize - 1) / 12.0
	var mean, across, down float32
	for y := range cellSize {
		var row float32
		for x, s := range v[y*cellSize : (y+1)*cellSize] {
			row += s
			across += s * (float32(x) - centre)
		}
		mean += row
		down += row * (float32(y) - centre)
	}
	mean, across, down = mean/cellArea, across/moment, down/moment
	for y := range cellSize {
		level := mean + down*(float32(y)-centre) - across*centre
		row := v[y*cellSize : (y+1)*cellSize]
		for x := range row {
			row[x] -= level + across*float32(x)
		}
	}
}

func (c *detailCell) differences(d *[cellArea]float32) {
	var square, fourth float32
	for _, v := range d {
		square += v * v
		fourth += v * v * v * v
	}
	for lag := 1; lag <= lags; lag++ {
		var across, down float32
		for y := range cellSize {
			row := d[y*cellSize : (y+1)*cellSize]
			for x := range cellSize - lag {
				across += row[x] * row[x+lag]
			}
		}
		for i := range cellArea - lag*cellSize {
			down += d[i] * d[i+lag*cellSize]
		}
		pairs := float64(2 * cellSize * (cellSize - lag))
		c.across[lag-1], c.down[lag-1] = float64(across)/pairs, float64(down)/pairs
	}
	c.variance = float64(square) / 2 / cellFreedom
	if square > 0 {
		second := float64(square) / cellFreedom
		c.fourth = float64(fourth) / cellArea / second / second
	}
}

func (c *detailCell) pattern(a *[cellArea]float32) {
	var rows, columns [cellSize]float32
	var square float32
	for y := range cellSize {
		for x, v := range a[y*cellSize : (y+1)*cellSize] {
			square += v * v
			rows[y] += v / cellSize
			columns[x] += v / cellSize
		}
	}
	c.fixed = float64(square) / cellFreedom
	for i := range rows {
		c.row += float64(rows[i]*rows[i]) / bandFreedom
		c.column += float64(columns[i]*columns[i]) / bandFreedom
	}
}
