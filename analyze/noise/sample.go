package noise

import (
	"math"
	"slices"

	"stopledger/analyze/cells"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// A sample is the noise of one cell in one pair of frames.
type sample struct {
	code     curve.FileCode // mean
	variance float64        // temporal, of one frame, file code^2, quantisation still in it
	spatial  float64        // within the frame, file code^2
	texture  float32        // mean square of luma's gradient, see textures
	repeated bool           // every luma sample is as in the frame before
}

// mostTexture is the spread of content within a cell, in stops, up to which it is of one tone.
const mostTexture = 0.2

// oneTone tells whether what lies in a cell is of one tone. An edge between a light and a dark
// surface has a mean that neither has, and noise that does not belong to it.
func (c sample) oneTone(s *toneScale) bool {
	texture := math.Sqrt(max(c.spatial-c.variance, 0))
	return texture <= max(mostTexture*s.perStop(c.code), math.Sqrt(c.variance)/2)
}

// quiet returns the samples that hold still, with the mean of their variances and its relative
// standard error (robust.TrimmedVariance).
func quiet(samples []sample, freedom float64) (kept []sample, trimmed robust.Trimmed) {
	variances := make([]float64, len(samples))
	for i, c := range samples {
		variances[i] = c.variance
	}
	slices.Sort(variances)
	trimmed = robust.TrimmedVariance(variances, freedom)
	if trimmed.Kept == 0 {
		return nil, trimmed
	}
	kept = make([]sample, 0, trimmed.Kept)
	for _, c := range samples {
		if c.variance <= variances[trimmed.Kept-1] {
			kept = append(kept, c)
		}
	}
	return kept, trimmed
}

// sampleOf returns the noise of a whole cell of a frame that has one before it.
func sampleOf(c *cells.Cell) sample {
	sum := float64(c.Sum)
	return sample{
		code:     curve.FileCode(sum / cells.Area),
		variance: varianceOf(c),
		spatial:  (float64(c.SumSq) - sum*sum/cells.Area) / (cells.Area - 1),
		repeated: c.Repeated,
	}
}

// varianceOf returns a cell's temporal variance in single precision.
func varianceOf(c *cells.Cell) float64 { return float64(float32(cells.Variance(c.Deviation))) }
