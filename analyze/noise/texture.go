package noise

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
	for row := range g.Rows {
		for col := range g.Cols {
			if g.Whole(col, row) {
				out[row*g.Cols+col] = textureOf(now, before, col*cells.Size, row*cells.Size)
			}
		}
	}
	return out
}

// textureOf measures the cell whose corner is (x, y), by every second row.
func textureOf(now, before decode.Plane, x, y int) float32 {
	const last = cells.Size - 1
	var across, down, nowAcross, nowDown, wasAcross, wasDown int64
	for dy := 0; dy < last; dy += 2 {
		a := now.Samples[(y+dy)*now.Stride+x:][:cells.Size]
		b := before.Samples[(y+dy)*before.Stride+x:][:cells.Size]
		below := now.Samples[(y+dy+1)*now.Stride+x:][:cells.Size]
		under := before.Samples[(y+dy+1)*before.Stride+x:][:cells.Size]
		for i := range last {
			across += (int64(a[i+1]) - int64(a[i])) * (int64(b[i+1]) - int64(b[i]))
			n, w := int64(below[i])-int64(a[i]), int64(under[i])-int64(b[i])
			down += n * w
			nowDown += n
			wasDown += w
		}
		nowAcross += int64(a[last]) - int64(a[0])
		wasAcross += int64(b[last]) - int64(b[0])
	}
	const n = last * cells.Size / 2
	return float32(across+down)/n - float32(nowAcross)*float32(wasAcross)/n/n - float32(nowDown)*float32(wasDown)/n/n
}

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
