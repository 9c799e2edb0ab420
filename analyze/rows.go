package analyze

import "stopledger/decode"

// walk goes over one band of a frame, cell row by cell row. prev is empty for a group's first
// frame.
func (b *band) walk(w *walker, f *decode.Frame, cur, prev decode.Plane) {
	b.stops, b.pixels = 0, 0
	for cellRow := b.from; cellRow < b.to; cellRow++ {
		clear(b.row)
		top := cellRow * cellSize
		bottom := min(top+cellSize, w.grid.height)
		for y := top; y < bottom; y += histogramRows {
			b.tally(cur.Row(y))
		}
		pair := prev.Samples != nil
		whole := 0
		if pair && bottom-top == cellSize {
			whole = cur.Width / cellSize
			for col := range whole {
				b.row[col].pair(cur, prev, col*cellSize, top)
			}
		}
		for y := top; y < bottom; y++ {
			b.level(cur.Row(y), whole)
		}
		b.store(w, cellRow, pair)
		countClipped(w, f, cur, cellRow)
		if pair {
			b.sample(w, cellRow)
		}
	}
}

// histogramRows: one row in so many is counted in the histogram. Counting costs as much as all
// sums together, and a share of the frame is as well known from every fourth row.
const histogramRows = 4

// tally counts one row of samples.
func (b *band) tally(row []uint16) {
	hist := b.hist
	for _, c := range row {
		hist[c]++
	}
}

// level adds one row of samples, without differences, to the cells from column first on: those
// of a frame that has none before it, and those that the frame's edge cuts off.
func (b *band) level(cur []uint16, first int) {
	for col := first; col < len(b.row); col++ {
		from := col * cellSize
		span := cur[from:min(from+cellSize, len(cur))]
		var sum, sumSq uint64
		for _, c := range span {
			sum += uint64(c)
			sumSq += uint64(c) * uint64(c)
		}
		r := &b.row[col]
		r.sum += sum
		r.sumSq += sumSq
		r.pixels += len(span)
	}
}

// pair adds a whole cell, whose corner is (x, y), and its differences to the frame before. Going
// over a cell at once keeps its sums in registers; eight samples at a time written out are three
// times as fast as a loop over them.
func (r *rowSums) pair(cur, prev decode.Plane, x, y int) {
	var sum, sumSq, diffSq uint64
	var quarters [2][2]int64 // sums of differences: upper and lower, left and right
	for dy := range cellSize {
		now := (*[cellSize]uint16)(cur.Samples[(y+dy)*cur.Stride+x:])
		was := (*[cellSize]uint16)(prev.Samples[(y+dy)*prev.Stride+x:])
		s1, q1, left, d1 := eight((*[8]uint16)(now[:8]), (*[8]uint16)(was[:8]))
		s2, q2, right, d2 := eight((*[8]uint16)(now[8:]), (*[8]uint16)(was[8:]))
		sum += s1 + s2
		sumSq += q1 + q2
		diffSq += d1 + d2
		q := &quarters[dy/(cellSize/2)]
		q[0] += left
		q[1] += right
	}
	r.sum, r.sumSq, r.diffSq, r.pixels = sum, sumSq, diffSq, cellArea
	r.left, r.right = quarters[0][0]+quarters[1][0], quarters[0][1]+quarters[1][1]
	r.top, r.bottom = quarters[0][0]+quarters[0][1], quarters[1][0]+quarters[1][1]
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

// store adds a finished row of cells to the group's sums.
func (b *band) store(w *walker, cellRow int, pair bool) {
	for col := range b.row {
		r := &b.row[col]
		i := cellRow*w.grid.cols + col
		c := &w.sums.cells[i]
		c.sum += r.sum
		r.clippedBefore = c.any
		b.stops += int64(r.pixels) * w.stops[r.sum/uint64(r.pixels)]
		b.pixels += int64(r.pixels)
		if !pair || r.pixels != cellArea {
			continue
		}
		v := r.deviation()
		c.diffSq += v
		w.pairVar[i] = float32(float64(v) / pairScale)
	}
}

// sample takes the noise of each whole, unclipped cell of a finished row that is of one tone.
func (b *band) sample(w *walker, cellRow int) {
	for col := range b.row {
		r := &b.row[col]
		if r.pixels != cellArea {
			continue
		}
		b.looked++
		i := cellRow*w.grid.cols + col
		if float64(w.sums.cells[i].any-r.clippedBefore) > w.mostClipped {
			continue
		}
		c := cellNoise{
			code:     float64(r.sum) / cellArea,
			variance: float64(w.pairVar[i]),
			spatial:  (float64(r.sumSq) - float64(r.sum)*float64(r.sum)/cellArea) / (cellArea - 1),
			repeated: r.diffSq == 0,
		}
		if c.oneTone(w.scale) {
			b.samples = append(b.samples, c)
		}
	}
}

// deviation returns cellArea x the sum of squared differences less what their mean and their
// tilt across and down explain. Mean and half-against-half contrasts are orthogonal, so that
// each takes one degree of freedom. A tilt is what flicker or a pan over a shaded surface adds.
func (r *rowSums) deviation() uint64 {
	mean := r.left + r.right
	across := r.right - r.left
	down := r.bottom - r.top
	return cellArea*r.diffSq - uint64(mean*mean) - uint64(across*across) - uint64(down*down)
}

const (
	// cellFreedom is the degrees of freedom of one cell's differences: its samples less mean and
	// two contrasts.
	cellFreedom = cellArea - 3
	// pairScale turns deviation into the variance of one frame's noise: var(d) = 2 sigma^2.
	pairScale = 2 * cellArea * cellFreedom
)

// countClipped counts the samples at the ceiling in one row of cells.
//
// R', G' and B' are taken per chroma sample, with the mean luma of the block it covers. At luma
// resolution the luma noise of channels that still hold would leak into one that is clipped.
func countClipped(w *walker, f *decode.Frame, luma decode.Plane, cellRow int) {
	if !w.ceilings.any() {
		return
	}
	if f.Layout != decode.YCbCr {
		countClippedFull(w, f, cellRow)
		return
	}
	subX, subY := f.SubX(), f.SubY()
	cb, cr := f.Planes[1], f.Planes[2]
	perCell := cellSize / subX
	top := cellRow * cellSize / subY
	bottom := min(top+cellSize/subY, cb.Height)
	cells := w.sums.cells[cellRow*w.grid.cols:]
	for y := top; y < bottom; y++ {
		upper := luma.Row(y * subY)
		lower := luma.Row(min(y*subY+subY-1, luma.Height-1))
		countRow(cells, &w.ceilings, upper, lower, cb.Row(y), cr.Row(y), subX, perCell)
	}
}

// countRow counts one row of chroma samples. The block's luma is kept as the sum of four samples
// and all factors are scaled alike, so that the loop has no division.
func countRow(cells []cellSums, t *thresholds, upper, lower, cb, cr []uint16, subX, perCell int) {
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
func countClippedFull(w *walker, f *decode.Frame, cellRow int) {
	planes := f.Planes
	if f.Layout == decode.Gray {
		planes[1], planes[2] = planes[0], planes[0]
	}
	cells := w.sums.cells[cellRow*w.grid.cols:]
	for y := cellRow * cellSize; y < min((cellRow+1)*cellSize, w.grid.height); y++ {
		red, green, blue := planes[0].Row(y), planes[1].Row(y), planes[2].Row(y)
		for x := range red {
			r := int64(red[x])<<fixedBits >= w.ceilings.limit[0]
			g := int64(green[x])<<fixedBits >= w.ceilings.limit[1]
			b := int64(blue[x])<<fixedBits >= w.ceilings.limit[2]
			if r || g || b {
				cells[x/cellSize].count(r, g, b)
			}
		}
	}
}

func (c *cellSums) count(r, g, b bool) {
	c.any++
	if r {
		c.clipped[0]++
	}
	if g {
		c.clipped[1]++
	}
	if b {
		c.clipped[2]++
	}
	if r && g && b {
		c.all++
	}
}
