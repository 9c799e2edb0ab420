package noise

/*
#cgo CFLAGS: -O3 -std=c11
#include "detail.h"
*/
import "C"

import (
	"slices"

	"stopledger/analyze/cells"
	"stopledger/curve"
)

// bandFreedom is the degrees of freedom of a cell's row means, and of its column means, of which
// the plane takes two.
const bandFreedom = cells.Size - 2

// lags is how far the autocorrelation of noise is followed, in samples.
const lags = C.LAGS

// covariances are those of noise along an axis at lags 1, 2 and 3.
type covariances [lags]float64

// A detailCell is one cell of a plane of luma or a channel that was looked at closely.
type detailCell struct {
	sample
	fixed        float64 // variance of the mean of both frames less its plane, file code^2
	row, column  float64 // variance of that residual's row and column means
	fourth       float64 // fourth moment of differences / squared variance
	across, down covariances
}

// A lookSums holds the sums that a detailCell is made of, in a fraction of its memory.
type lookSums C.struct_look

// lookAt sums up every whole cell of a row of cells, whose rows of float32 follow each other, against the frame
// before: it takes the least-squares plane, three degrees of freedom, out of the differences and out of the mean.
func lookAt(list []lookSums, now, was []float32, width int) []lookSums {
	n := width / cells.Size
	if n == 0 {
		return list
	}
	end := len(list)
	list = slices.Grow(list, n)[:end+n]
	C.look_at((*C.float)(&now[0]), (*C.float)(&was[0]), C.ptrdiff_t(width), C.int(n), (*C.struct_look)(&list[end]))
	return list
}

// cell is what the sums say.
func (l *lookSums) cell() detailCell {
	c := detailCell{fixed: float64(l.fixed) / cells.Freedom,
		row:    float64(l.row) / cells.Size / cells.Size / bandFreedom,
		column: float64(l.column) / cells.Size / cells.Size / bandFreedom}
	c.code = curve.FileCode(l.code)
	square := float64(l.square)
	c.variance = square / 2 / cells.Freedom
	if square > 0 {
		second := square / cells.Freedom
		c.fourth = float64(l.fourth) / cells.Area / second / second
	}
	for i := range lags {
		pairs := float64(2 * cells.Size * (cells.Size - i - 1))
		c.across[i], c.down[i] = float64(l.across[i])/pairs, float64(l.down[i])/pairs
	}
	return c
}
