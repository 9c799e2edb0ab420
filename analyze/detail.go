package analyze

import (
	"math"

	"stopledger/curve"
	"stopledger/decode"
)

// lags is how far the correlation of noise is followed, in samples.
const lags = 3

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

// look measures a pair of consecutive frames.
func look(f, before *decode.Frame, luma, lumaBefore decode.Plane, c curve.Chroma) *detail {
	d := &detail{luma: detailOf(widen(luma), widen(lumaBefore), luma.Width, luma.Height)}
	var fourth []float64
	for _, cell := range d.luma {
		if cell.variance > LeastSigma*LeastSigma {
			fourth = append(fourth, cell.fourth)
		}
	}
	d.kurtosis = median(fourth)
	if f.Layout == decode.Gray {
		return d
	}
	var cur, prev [3][]float32
	width := 0
	gather := func(into *[3][]float32) func(int, [3][]float32) {
		return func(_ int, rgb [3][]float32) {
			for i := range rgb {
				into[i] = append(into[i], rgb[i]...)
			}
			width = len(rgb[0])
		}
	}
	channelRows(f, c, gather(&cur))
	channelRows(before, c, gather(&prev))
	for i := range cur {
		d.channels[i] = detailOf(cur[i], prev[i], width, len(cur[i])/width)
	}
	return d
}

func widen(p decode.Plane) []float32 {
	out := make([]float32, 0, p.Width*p.Height)
	for y := range p.Height {
		for _, v := range p.Row(y) {
			out = append(out, float32(v))
		}
	}
	return out
}

// detailOf measures every whole cell of a plane.
func detailOf(cur, prev []float32, width, height int) []detailCell {
	var cells []detailCell
	var d, a [cellArea]float64
	for y := 0; y+cellSize <= height; y += cellSize {
		for x := 0; x+cellSize <= width; x += cellSize {
			var sum float64
			for row := range cellSize {
				at := (y+row)*width + x
				for col := range cellSize {
					c, p := float64(cur[at+col]), float64(prev[at+col])
					d[row*cellSize+col] = c - p
					a[row*cellSize+col] = (c + p) / 2
					sum += (c + p) / 2
				}
			}
			cell := detailCell{cellNoise: cellNoise{code: sum / cellArea}}
			removePlane(&d)
			removePlane(&a)
			cell.differences(&d)
			cell.pattern(&a)
			cells = append(cells, cell)
		}
	}
	return cells
}

// planeFreedom is the degrees of freedom of a plane.
const planeFreedom = 3.0

// removePlane takes the least-squares plane out of a cell: three degrees of freedom.
func removePlane(v *[cellArea]float64) {
	const centre = (cellSize - 1) / 2.0
	// The sum over a cell of (x - centre)^2.
	const moment = cellArea * (cellSize*cellSize - 1) / 12.0
	var mean, across, down float64
	for i, s := range v {
		mean += s / cellArea
		across += s * (float64(i%cellSize) - centre) / moment
		down += s * (float64(i/cellSize) - centre) / moment
	}
	for i := range v {
		v[i] -= mean + across*(float64(i%cellSize)-centre) + down*(float64(i/cellSize)-centre)
	}
}

func (c *detailCell) differences(d *[cellArea]float64) {
	var square, fourth float64
	for i, v := range d {
		square += v * v
		fourth += v * v * v * v
		for lag := 1; lag <= lags; lag++ {
			if i%cellSize+lag < cellSize {
				c.across[lag-1] += v * d[i+lag] / (2 * cellSize * float64(cellSize-lag))
			}
			if i/cellSize+lag < cellSize {
				c.down[lag-1] += v * d[i+lag*cellSize] / (2 * cellSize * float64(cellSize-lag))
			}
		}
	}
	c.variance = square / 2 / cellFreedom
	if square > 0 {
		c.fourth = fourth / cellArea / (square / cellFreedom) / (square / cellFreedom)
	}
}

func (c *detailCell) pattern(a *[cellArea]float64) {
	var rows, columns [cellSize]float64
	for i, v := range a {
		c.fixed += v * v / cellFreedom
		rows[i/cellSize] += v / cellSize
		columns[i%cellSize] += v / cellSize
	}
	// The plane takes two degrees of freedom from the row means, and two from the column means.
	for i := range rows {
		c.row += rows[i] * rows[i] / (cellSize - 2)
		c.column += columns[i] * columns[i] / (cellSize - 2)
	}
}

// grain is how noise hangs together from sample to sample.
type grain struct {
	length  float64 // equivalent side of a grain in samples; 1 for white noise, NaN
	squares float64 // sum of squared correlations: how many samples count as one, at least 1
}

// grainOf averages covariances over the cells that hold still.
func grainOf(cells []detailCell, quiet func(detailCell) bool) grain {
	var variance float64
	var across, down [lags]float64
	for _, c := range cells {
		if !quiet(c) {
			continue
		}
		variance += c.variance
		for i := range across {
			across[i] += c.across[i]
			down[i] += c.down[i]
		}
	}
	if variance == 0 {
		return grain{math.NaN(), 1}
	}
	length, squares := 1.0, 1.0
	for _, axis := range [][lags]float64{across, down} {
		sum, square := 1.0, 1.0
		for _, v := range axis {
			// Taking a plane out of each cell takes as much out of every covariance.
			rho := v/variance + planeFreedom/cellArea
			sum += 2 * rho
			square += 2 * rho * rho
		}
		length *= max(sum, 0.1)
		squares *= square
	}
	return grain{math.Sqrt(length), squares}
}
