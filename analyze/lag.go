package analyze

import (
	"slices"

	"stopledger/decode"
)

// measureLag compares the group's first frame with its last. White noise differs by as much over
// any lag; noise that a codec carries over from frame to frame differs more over a long one.
func (w *walker) measureLag() lagSums {
	cur, prev := w.luma.of(w.before), w.luma.of(w.first)
	s := w.sums
	w.each(func(b *band) { b.lag(w, cur, prev) })
	var far []float64
	for i := range w.bands {
		far = append(far, w.bands[i].far...)
	}
	if len(far) == 0 {
		return lagSums{}
	}
	slices.Sort(far)
	// The lower quartile leaves out what moved; noise alone puts it this far below 1.
	spread := 2/float64(cellFreedom) + 2/(cellFreedom*pairFreedom(s.pairs))
	return lagSums{s.frames - 1, far[len(far)/4] / chiQuantile(0.25, 2/spread)}
}

// lag gathers, for the band's cells, the variance over the lag as a share of that from frame to frame.
func (b *band) lag(w *walker, cur, prev decode.Plane) {
	b.far = b.far[:0]
	for row := b.from; row < b.to; row++ {
		for col := range w.grid.cols {
			c := &w.sums.cells[row*w.grid.cols+col]
			near := float64(c.diffSq) / float64(w.sums.pairs) / pairScale
			if w.grid.whole(col, row) && near != 0 {
				b.far = append(b.far, cellVariance(cur, prev, col*cellSize, row*cellSize)/near)
			}
		}
	}
}

// cellVariance returns the variance, in file code^2, of one frame's noise from the differences
// of two frames in the whole cell whose corner is (x, y).
func cellVariance(cur, prev decode.Plane, x, y int) float64 {
	var r rowSums
	for dy := range cellSize {
		a, b := cur.Row(y + dy)[x:x+cellSize], prev.Row(y + dy)[x:x+cellSize]
		for dx := range cellSize {
			d := int64(a[dx]) - int64(b[dx])
			r.diffSq += uint64(d * d)
			if dx < cellSize/2 {
				r.left += d
			} else {
				r.right += d
			}
			if dy < cellSize/2 {
				r.top += d
			} else {
				r.bottom += d
			}
		}
	}
	return float64(r.deviation()) / pairScale
}
