package noise

import (
	"math"

	"stopledger/decode"
)

// fieldShift returns by how many pixels the odd rows of a frame lie right of the even ones, as a
// whole: where two fields were taken at different times and the picture moved in between. A row's
// difference to the mean of its neighbours is regressed on its own gradient across, once for odd
// rows and once for even ones; in a picture taken at once both slopes are the same. NaN without
// texture.
func fieldShift(p decode.Plane) float64 {
	var product, square [2]float64
	for y := 1; y+1 < p.Height; y++ {
		above, row, below := p.Row(y-1), p.Row(y), p.Row(y+1)
		for x := 1; x+1 < p.Width; x++ {
			slope := float64(above[x+1]) + float64(below[x+1]) - float64(above[x-1]) - float64(below[x-1])
			gap := 2*float64(row[x]) - float64(above[x]) - float64(below[x])
			product[y&1] += gap * slope
			square[y&1] += slope * slope
		}
	}
	if square[0] == 0 || square[1] == 0 {
		return math.NaN()
	}
	// slope is four gradients, gap two differences.
	return product[0]/square[0] - product[1]/square[1]
}
