package cells

// A Cell holds the sums over one cell of one frame, in file codes. They are integers; the ranges
// hold for samples of 16 bits: squared differences of a cell fit 40 bits, Area times them 48, so
// that 64 bits hold the sums of 65,536 frames.
type Cell struct {
	Sum       uint64    // of luma
	SumSq     uint64    // of squared luma
	Deviation uint64    // of luma's differences to the frame before, see Deviations; 0 without one or where cut off
	Pixels    uint32    // luma samples
	Clipped   [3]uint32 // samples at the ceiling in R', G' and B'
	Any       uint32    // of those, in at least one channel
	All       uint32    // in all three
	Highest   uint16    // luma sample
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
