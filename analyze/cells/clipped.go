package cells

import "stopledger/decode"

// countClipped counts the samples at the ceiling in one row of cells.
//
// R', G' and B' are taken per chroma sample, with the mean luma of the block it covers. At luma
// resolution the luma noise of channels that still hold would leak into one that is clipped.
func countClipped(f *Frame, t *Thresholds, cellRow int) {
	if !t.any() {
		return
	}
	if f.Layout != decode.YCbCr {
		countClippedFull(f, t, cellRow)
		return
	}
	subX, subY := f.SubX(), f.SubY()
	cb, cr := f.Planes[1], f.Planes[2]
	perCell := Size / subX
	top := cellRow * Size / subY
	bottom := min(top+Size/subY, cb.Height)
	cells := f.Cells[cellRow*f.Grid.Cols:]
	for y := top; y < bottom; y++ {
		upper := f.Luma.Row(y * subY)
		lower := f.Luma.Row(min(y*subY+subY-1, f.Luma.Height-1))
		countRow(cells, t, upper, lower, cb.Row(y), cr.Row(y), subX, perCell)
	}
}

// countRow counts one row of chroma samples. The block's luma is kept as the sum of four samples
// and all factors are scaled alike, so that the loop has no division.
func countRow(cells []Cell, t *Thresholds, upper, lower, cb, cr []uint16, subX, perCell int) {
	for x := range cb {
		left := x * subX
		right := min(left+subX-1, len(upper)-1)
		y := int64(upper[left]) + int64(upper[right]) + int64(lower[left]) + int64(lower[right])
		if y < t.lowest {
			continue
		}
		u, v := int64(cb[x])-t.mid, int64(cr[x])-t.mid
		y <<= fixedBits - 2
		r := y+t.crR*v >= t.limit[0]
		g := y+t.cbG*u+t.crG*v >= t.limit[1]
		b := y+t.cbB*u >= t.limit[2]
		if r || g || b {
			cells[x/perCell].count(r, g, b)
		}
	}
}

// countClippedFull counts where each pixel has its R', G' and B'; gray counts as all three.
func countClippedFull(f *Frame, t *Thresholds, cellRow int) {
	planes := f.Planes
	if f.Layout == decode.Gray {
		planes[1], planes[2] = planes[0], planes[0]
	}
	cells := f.Cells[cellRow*f.Grid.Cols:]
	for y := cellRow * Size; y < min((cellRow+1)*Size, f.Grid.Height); y++ {
		red, green, blue := planes[0].Row(y), planes[1].Row(y), planes[2].Row(y)
		for x := range red {
			r := int64(red[x])<<fixedBits >= t.limit[0]
			g := int64(green[x])<<fixedBits >= t.limit[1]
			b := int64(blue[x])<<fixedBits >= t.limit[2]
			if r || g || b {
				cells[x/Size].count(r, g, b)
			}
		}
	}
}

// count counts one sample at the ceiling in these channels.
func (c *Cell) count(r, g, b bool) {
	c.Any++
	if r {
		c.Clipped[0]++
	}
	if g {
		c.Clipped[1]++
	}
	if b {
		c.Clipped[2]++
	}
	if r && g && b {
		c.All++
	}
}
