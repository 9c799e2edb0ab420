package noise

import (
	"math"
	"slices"
	"sync"

	"stopledger/analyze/cells"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// A sample is the noise of one cell in one pair of frames.
type sample struct {
	code     curve.FileCode // mean
	variance float64        // temporal, of one frame, file code^2, quantisation still in it
	texture  float32        // mean square of luma's gradient, see textures
	repeated bool           // every luma sample is as in the frame before
}

// mostTexture is the spread of content within a cell, in stops, up to which it is of one tone.
const mostTexture = 0.2

// oneTone tells whether what lies in a cell is of one tone, by its variance within the frame, file code^2. An edge
// between a light and a dark surface has a mean that neither has, and noise that does not belong to it.
func (c sample) oneTone(spatial float64, s *toneScale) bool {
	texture := math.Sqrt(max(spatial-c.variance, 0))
	return texture <= max(mostTexture*s.perStop(c.code), math.Sqrt(c.variance)/2)
}

// scratch is memory that sorting samples takes, used again.
type scratch struct {
	samples   []sample // of a batch
	at        []int16  // the part of a tone that each lies in
	sorted    []sample // by part
	kept      []sample
	variances []float64
}

// scratches are spare ones: every group takes one and gives it back.
var scratches = sync.Pool{New: func() any { return new(scratch) }}

// quiet returns the samples that hold still, with the mean of their variances and its relative
// standard error (robust.TrimmedVariance). They are valid until it is asked again.
func (m *scratch) quiet(samples []sample, freedom float64) (kept []sample, trimmed robust.Trimmed) {
	m.variances, m.kept = m.variances[:0], m.kept[:0]
	for _, c := range samples {
		m.variances = append(m.variances, c.variance)
	}
	slices.Sort(m.variances)
	trimmed = robust.TrimmedVariance(m.variances, freedom)
	if trimmed.Kept == 0 {
		return nil, trimmed
	}
	for _, c := range samples {
		if c.variance <= m.variances[trimmed.Kept-1] {
			m.kept = append(m.kept, c)
		}
	}
	return m.kept, trimmed
}

// sampleOf returns the noise of a whole cell of a frame that has one before it.
func sampleOf(c *cells.Cell) sample {
	return sample{code: curve.FileCode(float64(c.Sum) / cells.Area), variance: varianceOf(c), repeated: c.Repeated}
}

// spatialOf returns the variance within a whole cell of a frame, file code^2.
func spatialOf(c *cells.Cell) float64 {
	sum := float64(c.Sum)
	return (float64(c.SumSq) - sum*sum/cells.Area) / (cells.Area - 1)
}

// varianceOf returns a cell's temporal variance in single precision.
func varianceOf(c *cells.Cell) float64 { return float64(float32(cells.Variance(c.Deviation))) }
