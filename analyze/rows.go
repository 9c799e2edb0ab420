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
		for y := top; y < bottom; y++ {
			if y%histogramRows == 0 {
				b.tally(cur.Row(y))
			}
			if prev.Samples == nil {
				b.still(cur.Row(y))
			} else {
				b.pair(cur.Row(y), prev.Row(y), y-top < cellSize/2)
			}
		}
		b.store(w, cellRow, prev.Samples != nil)
		countClipped(w, f, cur, cellRow)
		if prev.Samples != nil {
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

// still adds one row of samples that has no frame before it.
func (b *band) still(cur []uint16) {
	for col := range b.row {
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

// pair adds one row of samples and its differences to the same row of the frame before. For
// cells that are cut off only the level is added.
func (b *band) pair(cur, prev []uint16, upper bool) {
	whole := len(cur) / cellSize
	for col := range whole {
		at := col * cellSize
		r := &b.row[col]
		span := (*[cellSize]uint16)(cur[at:])
		was := (*[cellSize]uint16)(prev[at:])
		left := r.half((*[cellSize / 2]uint16)(span[:]), (*[cellSize / 2]uint16)(was[:]))
		right := r.half((*[cellSize / 2]uint16)(span[cellSize/2:]), (*[cellSize / 2]uint16)(was[cellSize/2:]))
		r.left += left
		r.right += right
		if upper {
			r.top += left + right
		} else {
			r.bottom += left + right
		}
		r.pixels += cellSize
	}
	if rest := cur[whole*cellSize:]; len(rest) > 0 {
		r := &b.row[whole]
		for _, c := range rest {
			r.sum += uint64(c)
			r.sumSq += uint64(c) * uint64(c)
		}
		r.pixels += len(rest)
	}
}

// half adds half a cell's row and returns the sum of its differences.
func (r *rowSums) half(cur, prev *[cellSize / 2]uint16) int64 {
	var sum, sumSq, diffSq uint64
	var before uint64
	for i, c := range cur {
		v, p := uint64(c), uint64(prev[i])
		sum += v
		before += p
		sumSq += v * v
		d := v - p // the square of a wrapped difference is that of the difference
		diffSq += d * d
	}
	r.sum += sum
	r.sumSq += sumSq
	r.diffSq += diffSq
	return int64(sum) - int64(before)
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
