package cells

/*
#include "kernel.h"
*/
import "C"

import (
	"math"
	"unsafe"

	"stopledger/decode"
)

// A Moments is how the samples of one channel lie in one cell of a pair of frames, in file codes.
type Moments struct {
	Mean     float64
	Spatial  float64 // variance within the frames, code^2
	Temporal float64 // half the mean squared difference of the pair, code^2
}

// The kernel's sums go straight into moments, which are laid out alike.
const (
	_ = uint(unsafe.Sizeof(Moments{}) - C.sizeof_struct_moments)
	_ = uint(C.sizeof_struct_moments - unsafe.Sizeof(Moments{}))
)

// A Survey is the moments of R', G' and B' by cell, of one pair of frames. Only cells that are
// whole count; the others' moments are NaN.
type Survey struct {
	Grid     Grid
	Channels [3][]Moments

	perCell [2]int // channel samples of a cell, across and down
	n       float64
}

// NewSurvey returns an empty survey for frames like f.
func NewSurvey(f *decode.Frame) *Survey {
	s := &Survey{Grid: GridOf(f), perCell: [2]int{Size, Size}}
	if f.Layout == decode.YCbCr {
		s.perCell = [2]int{Size / f.SubX(), Size / f.SubY()}
	}
	s.n = float64(s.perCell[0] * s.perCell[1])
	for c := range s.Channels {
		s.Channels[c] = make([]Moments, s.Grid.Cols*s.Grid.Rows)
	}
	return s
}

// Add adds rows of the channels, so many samples wide, and the same ones of the frame before: those from y on, which
// is the first row of a cell.
func (s *Survey) Add(y, width int, now, before [3][]float32) {
	rows, down := len(now[0])/width, s.perCell[1]
	for top := 0; top < rows; top += down {
		first := (y + top) / down * s.Grid.Cols
		for c := range now {
			survey(now[c][top*width:], before[c][top*width:], width, min(down, rows-top), s.perCell[0], s.Channels[c][first:])
		}
	}
}

// Finish turns the sums into moments.
func (s *Survey) Finish() {
	for c := range s.Channels {
		for i := range s.Channels[c] {
			m := &s.Channels[c][i]
			if !s.Grid.Whole(i%s.Grid.Cols, i/s.Grid.Cols) {
				*m = Moments{math.NaN(), math.NaN(), math.NaN()}
				continue
			}
			m.Mean /= 2 * s.n
			m.Spatial = max(m.Spatial/(2*s.n)-m.Mean*m.Mean, 0)
			m.Temporal /= 2 * s.n
		}
	}
}

// survey adds rows of a channel and of the same in the frame before to the moments of one row of cells, each so many
// samples across: sums of the samples, of their squares and of squared differences.
func survey(now, before []float32, width, rows, across int, m []Moments) {
	if whole := width / across; whole > 0 {
		C.survey((*C.float)(&now[0]), (*C.float)(&before[0]), C.ptrdiff_t(width), C.int(rows), C.int(across), C.int(whole),
			(*C.struct_moments)(unsafe.Pointer(&m[0])))
	}
}
