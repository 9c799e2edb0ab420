package noise

/*
#include "detail.h"
*/
import "C"

import (
	"math"

	"stopledger/analyze/cells"
	"stopledger/decode"
)

const (
	// flatTexture and fullTexture bound the cells without and with texture: the square of luma's
	// gradient over the variance of noise. Both stand on either side of the estimate's own spread
	// for white noise, 0.1 (computed).
	flatTexture = 0.5
	fullTexture = 2.0
	// mostTextureMoving is the texture up to which the cells of a moving picture are used: the
	// rest of its movement is taken out by a line through them.
	mostTextureMoving = 1.0
)

// textures returns the texture of each whole cell of a grid: the mean square of luma's gradient
// per pixel, less that of a plane, in file code^2. The gradients of two frames are multiplied, not
// squared: their noise is independent, so that the product's mean holds none of it. A picture that
// moves by m pixels adds m^2/2 times half of it to the variance of a frame.
func textures(g cells.Grid, now, before decode.Plane) []float32 {
	out := make([]float32, g.Cols*g.Rows)
	whole := g.Width / cells.Size
	for row := range g.Height / cells.Size {
		if whole > 0 {
			y := row * cells.Size
			C.texture_at(at(now, y), C.ptrdiff_t(now.Stride), at(before, y), C.ptrdiff_t(before.Stride), C.int(whole),
				(*C.float)(&out[row*g.Cols]))
		}
	}
	return out
}

// at returns where row y of a plane begins.
func at(p decode.Plane, y int) *C.uint16_t { return (*C.uint16_t)(&p.Samples[y*p.Stride]) }

// fieldShift returns by how many pixels the odd rows of a frame lie right of the even ones, as a
// whole: where two fields were taken at different times and the picture moved in between. A row's
// difference to the mean of its neighbours is regressed on its own gradient across, once for odd
// rows and once for even ones; in a picture taken at once both slopes are the same. NaN without
// texture.
func fieldShift(p decode.Plane) float64 {
	var product, square [2]C.int64_t
	C.field_slopes(at(p, 0), C.ptrdiff_t(p.Stride), C.int(p.Width), C.int(p.Height), &product[0], &square[0])
	if square[0] == 0 || square[1] == 0 {
		return math.NaN()
	}
	// slope is four gradients, gap two differences.
	return float64(product[0])/float64(square[0]) - float64(product[1])/float64(square[1])
}
