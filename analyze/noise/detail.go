package noise

import (
	"stopledger/analyze/cells"
	"stopledger/curve"
)

// bandFreedom is the degrees of freedom of a cell's row means, and of its column means, of which
// the plane takes two.
const bandFreedom = cells.Size - 2

// A plane holds the samples of one cell, row by row.
type plane [cells.Area]float32

// lags is how far the autocorrelation of noise is followed, in samples.
const lags = 3

// covariances are those of noise along an axis at lags 1, 2 and 3.
type covariances [lags]float64

// A detailCell is one cell of a plane of luma or a channel that was looked at closely.
type detailCell struct {
	sample
	fixed        float64 // variance of the mean of both frames less its plane, file code^2
	row, column  float64 // variance of that residual's row and column means
	fourth       float64 // fourth moment of differences / squared variance
	across, down covariances
}

// detailOf measures a cell from the differences of two frames and from their mean; it takes the
// least-squares plane out of both.
func detailOf(code float64, difference, mean *plane) detailCell {
	c := detailCell{}
	c.code = curve.FileCode(code)
	difference.flatten()
	mean.flatten()
	c.differences(difference)
	c.pattern(mean)
	return c
}

// ones and offCentre are factors of a row's samples: 1, and x less the row's centre.
var ones, offCentre = func() (one, off [cells.Size]float32) {
	for x := range one {
		one[x], off[x] = 1, float32(x)-(cells.Size-1)/2.0
	}
	return one, off
}()

// dot returns the sum of products, in four sums at once, which do not wait for each other.
func dot(a, b []float32) float32 {
	var s0, s1, s2, s3 float32
	for ; len(a) >= 4 && len(b) >= 4; a, b = a[4:], b[4:] {
		s0 += a[0] * b[0]
		s1 += a[1] * b[1]
		s2 += a[2] * b[2]
		s3 += a[3] * b[3]
	}
	for i, v := range a {
		s0 += v * b[i]
	}
	return (s0 + s1) + (s2 + s3)
}

// flatten takes the least-squares plane out of a cell: three degrees of freedom.
func (v *plane) flatten() {
	const centre = (cells.Size - 1) / 2.0
	// The sum over a cell of (x - centre)^2.
	const moment = cells.Area * (cells.Size*cells.Size - 1) / 12.0
	var mean, across, down float32
	for y := range cells.Size {
		line := v[y*cells.Size : (y+1)*cells.Size]
		row := dot(line, ones[:])
		across += dot(line, offCentre[:])
		mean += row
		down += row * (float32(y) - centre)
	}
	mean, across, down = mean/cells.Area, across/moment, down/moment
	for y := range cells.Size {
		level := mean + down*(float32(y)-centre) - across*centre
		row := v[y*cells.Size : (y+1)*cells.Size]
		for x := range row {
			row[x] -= level + across*float32(x)
		}
	}
}

// differences measures noise and its covariances from flattened differences of two frames.
func (c *detailCell) differences(d *plane) {
	var squares plane
	for i, v := range d {
		squares[i] = v * v
	}
	square, fourth := dot(d[:], d[:]), dot(squares[:], squares[:])
	for lag := 1; lag <= lags; lag++ {
		across, down := d.products(lag)
		pairs := float64(2 * cells.Size * (cells.Size - lag))
		c.across[lag-1], c.down[lag-1] = float64(across)/pairs, float64(down)/pairs
	}
	c.variance = float64(square) / 2 / cells.Freedom
	if square > 0 {
		second := float64(square) / cells.Freedom
		c.fourth = float64(fourth) / cells.Area / second / second
	}
}

// products sums the products of samples a lag apart, across and down.
func (v *plane) products(lag int) (across, down float32) {
	for y := range cells.Size {
		row := v[y*cells.Size : (y+1)*cells.Size]
		across += dot(row[:cells.Size-lag], row[lag:])
	}
	down = dot(v[:cells.Area-lag*cells.Size], v[lag*cells.Size:])
	return across, down
}

// pattern measures what stands still from the flattened mean of two frames.
func (c *detailCell) pattern(a *plane) {
	var rows, columns [cells.Size]float32
	for y := range cells.Size {
		row := a[y*cells.Size : (y+1)*cells.Size]
		rows[y] = dot(row, ones[:]) / cells.Size
		for x, v := range row {
			columns[x] += v / cells.Size
		}
	}
	c.fixed = float64(dot(a[:], a[:])) / cells.Freedom
	for i := range rows {
		c.row += float64(rows[i]*rows[i]) / bandFreedom
		c.column += float64(columns[i]*columns[i]) / bandFreedom
	}
}
