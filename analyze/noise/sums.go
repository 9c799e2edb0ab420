package noise

import (
	"math"

	"stopledger/analyze/cells"
	"stopledger/curve"
)

const (
	// toneStep is the width of a tone in stops.
	toneStep = 0.5
	// toneParts is how finely a tone is cut for the rejection of moving cells: noise in codes
	// changes by a tenth or so over half a stop, more than a cell's own uncertainty.
	toneParts = 4
	// leastCells is how many cells a part of a tone must have.
	leastCells = 8
	// quantised is the variance of rounding to whole codes, uniform over one code.
	quantised = 1.0 / 12
)

// toneSums add up the cells of one tone that held still. Each part of a tone enters with its own
// estimate of the variance.
type toneSums struct {
	cells    float64
	variance float64 // sum over cells, file code^2
	errorSq  float64 // squared error of that sum
	code     float64 // sum over cells
	light    float64 // sum over cells
	lightSq  float64 // sum over cells of the variance in light, quantisation taken off
	repeated float64 // cells that repeat the frame before, not among the others
}

// addPart adds the cells of a part that hold still.
func (m *toneSums) addPart(part []sample, s *toneScale) {
	moving := part[:0:0]
	for _, c := range part {
		if c.repeated {
			m.repeated++
		} else {
			moving = append(moving, c)
		}
	}
	kept, trimmed := quiet(moving, cells.Freedom)
	if len(kept) < leastCells {
		return
	}
	n := float64(len(kept))
	variance, relative := trimmed.Variance, trimmed.Relative
	m.cells += n
	m.variance += n * variance
	m.errorSq += n * n * variance * variance * relative * relative
	var code float64
	for _, c := range kept {
		code += float64(c.code)
	}
	light, sigma := s.light(curve.FileCode(code/n), math.Sqrt(max(variance-quantised, 0)))
	m.code += code
	m.light += n * float64(light)
	m.lightSq += n * sigma * sigma
}

// merge adds the sums of other frames.
func (m *toneSums) merge(o *toneSums) {
	m.cells += o.cells
	m.variance += o.variance
	m.errorSq += o.errorSq
	m.code += o.code
	m.light += o.light
	m.lightSq += o.lightSq
	m.repeated += o.repeated
}

// tone turns sums into a tone.
func (m *toneSums) tone(w worth) tone {
	n, nan := m.cells, math.NaN()
	t := tone{light: curve.Light(m.light / n), code: curve.FileCode(m.code / n), cells: int(n),
		samples: n * cells.Freedom / w.overlap / w.overlap / w.grain.squares,
		sigma:   nan, sigmaLight: nan, relative: nan, fixed: nan, row: nan, column: nan}
	variance := m.variance / n / w.grain.kept
	if clean := variance - quantised; clean >= float64(LeastSigma*LeastSigma) {
		t.sigma = math.Sqrt(clean)
		t.sigmaLight = math.Sqrt(m.lightSq / n * clean / (m.variance/n - quantised))
		// The cells' own spread, or what their samples allow, whichever is larger.
		relative := max(math.Sqrt(m.errorSq)/m.variance, math.Sqrt(2*w.grain.squares/cells.Freedom/n)) * w.overlap
		// Taking 1/12 off leaves the absolute error and so enlarges the relative one.
		t.relative = relative * variance / clean / 2
	}
	return t
}
