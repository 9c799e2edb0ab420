package analyze

import (
	"sort"

	"stopledger/decode"
)

// measureLag compares the group's first frame with its last. White noise differs by as much over
// any lag; noise that a codec carries over from frame to frame differs more over a long one.
func (w *walker) measureLag() lagSums {
	far := make([]float64, 0, len(w.pairVar))
	cur, prev := w.luma.of(w.before), w.luma.of(w.first)
	s := w.sums
	for row := range w.grid.rows {
		for col := range w.grid.cols {
			c := &s.cells[row*w.grid.cols+col]
			near := float64(c.diffSq) / float64(s.pairs) / pairScale
			if !w.grid.whole(col, row) || near == 0 {
				continue
			}
			far = append(far, cellVariance(cur, prev, col*cellSize, row*cellSize)/near)
		}
	}
	if len(far) == 0 {
		return lagSums{}
	}
	sort.Float64s(far)
	// The lower quartile leaves out what moved; noise alone puts it this far below 1.
	spread := 2/float64(cellFreedom) + 2/(cellFreedom*pairFreedom(s.pairs))
	return lagSums{s.frames - 1, far[len(far)/4] / chiQuantile(0.25, 2/spread)}
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
