package cells

import "stopledger/decode"

// A Cell holds the sums over one cell of one frame, in file codes. They are integers; the ranges
// hold for samples of 16 bits: squared differences of a cell fit 40 bits, Area times them 48, so
// that 64 bits hold the sums of 65,536 frames.
type Cell struct {
	Sum       uint64    // of luma
	SumSq     uint64    // of squared luma
	Deviation uint64    // of luma's differences to the frame before, see Deviation; 0 without one or where cut off
	Pixels    uint32    // luma samples
	Clipped   [3]uint32 // samples at the ceiling in R', G' and B'
	Any       uint32    // of those, in at least one channel
	All       uint32    // in all three
	Repeated  bool      // every luma sample is as in the frame before
}

// Whole tells whether the cell is not cut off by the frame's edge.
func (c *Cell) Whole() bool { return c.Pixels == Area }

const (
	// Freedom is the degrees of freedom of a cell's differences: its samples less the mean and two
	// contrasts.
	Freedom = Area - 3
	// deviationScale turns a deviation into the variance of one frame's noise: var(d) = 2 sigma^2.
	deviationScale = 2 * Area * Freedom
)

// Variance returns the variance of one frame's noise, in file code^2 and with what rounding to
// codes adds, from the deviation of the differences of two frames.
func Variance(deviation uint64) float64 { return float64(deviation) / deviationScale }

// Deviation returns Area x the sum of squared differences of two frames in the whole cell whose
// corner is (x, y), less what their mean and their tilt across and down explain. Mean and
// half-against-half contrasts are orthogonal, so that each takes one degree of freedom. A tilt is
// what flicker or a pan over a shaded surface adds.
func Deviation(cur, prev decode.Plane, x, y int) uint64 {
	var c Cell
	c.pair(cur, prev, x, y)
	return c.Deviation
}

// pair sums a whole cell, whose corner is (x, y), and its differences to the frame before. Going
// over a cell at once keeps its sums in registers; eight samples at a time written out are three
// times as fast as a loop over them.
func (c *Cell) pair(cur, prev decode.Plane, x, y int) {
	var sum, sumSq, diffSq uint64
	var quarters [2][2]int64 // sums of differences: upper and lower, left and right
	for dy := range Size {
		now := (*[Size]uint16)(cur.Samples[(y+dy)*cur.Stride+x:])
		was := (*[Size]uint16)(prev.Samples[(y+dy)*prev.Stride+x:])
		s1, q1, left, d1 := eight((*[8]uint16)(now[:8]), (*[8]uint16)(was[:8]))
		s2, q2, right, d2 := eight((*[8]uint16)(now[8:]), (*[8]uint16)(was[8:]))
		sum += s1 + s2
		sumSq += q1 + q2
		diffSq += d1 + d2
		q := &quarters[dy/(Size/2)]
		q[0] += left
		q[1] += right
	}
	left, right := quarters[0][0]+quarters[1][0], quarters[0][1]+quarters[1][1]
	upper, lower := quarters[0][0]+quarters[0][1], quarters[1][0]+quarters[1][1]
	mean, across, down := left+right, right-left, lower-upper
	c.Sum, c.SumSq, c.Pixels, c.Repeated = sum, sumSq, Area, diffSq == 0
	c.Deviation = Area*diffSq - uint64(mean*mean) - uint64(across*across) - uint64(down*down)
}

// eight returns the sums of eight samples and of their differences. The square of a difference
// that wraps around zero is that of the difference.
func eight(c, p *[8]uint16) (sum, sumSq uint64, diff int64, diffSq uint64) {
	c0, c1, c2, c3 := uint64(c[0]), uint64(c[1]), uint64(c[2]), uint64(c[3])
	c4, c5, c6, c7 := uint64(c[4]), uint64(c[5]), uint64(c[6]), uint64(c[7])
	d0, d1, d2, d3 := c0-uint64(p[0]), c1-uint64(p[1]), c2-uint64(p[2]), c3-uint64(p[3])
	d4, d5, d6, d7 := c4-uint64(p[4]), c5-uint64(p[5]), c6-uint64(p[6]), c7-uint64(p[7])
	sum = c0 + c1 + c2 + c3 + c4 + c5 + c6 + c7
	sumSq = c0*c0 + c1*c1 + c2*c2 + c3*c3 + c4*c4 + c5*c5 + c6*c6 + c7*c7
	diff = int64(d0 + d1 + d2 + d3 + d4 + d5 + d6 + d7)
	diffSq = d0*d0 + d1*d1 + d2*d2 + d3*d3 + d4*d4 + d5*d5 + d6*d6 + d7*d7
	return sum, sumSq, diff, diffSq
}
