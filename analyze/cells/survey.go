package cells

import (
	"math"

	"stopledger/decode"
)

// A Moments is how the samples of one channel lie in one cell of a pair of frames, in file codes.
type Moments struct {
	Mean     float64
	Spatial  float64 // variance within the frames, code^2
	Temporal float64 // half the mean squared difference of the pair, code^2
}

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

// Add adds row y of the channels and the same row of the frame before.
func (s *Survey) Add(y int, now, before [3][]float32) {
	first := y / s.perCell[1] * s.Grid.Cols
	across := s.perCell[0]
	for c := range now {
		row, was := now[c], before[c]
		for col := 0; (col+1)*across <= len(row); col++ {
			var sum, square, change float64
			for x := col * across; x < (col+1)*across; x++ {
				a, b := float64(row[x]), float64(was[x])
				sum += a + b
				square += a*a + b*b
				change += (a - b) * (a - b)
			}
			m := &s.Channels[c][first+col]
			m.Mean += sum
			m.Spatial += square
			m.Temporal += change
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
