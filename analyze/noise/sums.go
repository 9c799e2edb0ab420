package noise

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"stopledger/analyze/cells"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

const (
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
	all      float64 // as variance, of all cells within the reach of coding, kept or not
	code     float64 // sum over cells
	light    float64 // sum over cells
	lightSq  float64 // sum over cells of the variance in light, quantisation taken off
	repeated float64 // cells that repeat the frame before, not among the others
}

// addPart adds the cells of a part that hold still.
func (m *toneSums) addPart(part []sample, s *toneScale, memory *scratch) {
	live := m.live(part)
	kept, trimmed := memory.quiet(live, cells.Freedom)
	if len(kept) >= leastCells {
		m.take(kept, trimmed.Variance, trimmed.Relative, s)
		m.all += float64(len(kept)) * max(withinReach(live, trimmed.Variance), trimmed.Variance)
	}
}

// codingReach is how many times the usual variance a cell may have by coding alone.
const codingReach = 30

// withinReach returns the mean variance of the cells that coding alone may have made so noisy.
func withinReach(list []sample, usual float64) float64 {
	var sum, n float64
	for _, c := range list {
		if c.variance <= codingReach*usual {
			sum += c.variance
			n++
		}
	}
	return sum / n
}

// live returns the cells that do not repeat the frame before, and counts those that do.
func (m *toneSums) live(part []sample) []sample {
	repeats := func(c sample) bool { return c.repeated }
	if !slices.ContainsFunc(part, repeats) {
		return part
	}
	changed := slices.DeleteFunc(slices.Clone(part), repeats)
	m.repeated += float64(len(part) - len(changed))
	return changed
}

// mostMotion is the share of a part's variance that may be movement, to be taken out.
const mostMotion = 0.3

// addMoving adds the cells of a part of a picture that moves as a whole: the variance that the
// line of variance over texture has where there is none, by least squares over the cells with
// little texture. Movement by m pixels a frame adds m^2/4 of the texture.
func (m *toneSums) addMoving(part []sample, s *toneScale, memory *scratch) {
	var flat []sample
	for _, c := range m.live(part) {
		if float64(c.texture) <= mostTextureMoving*c.variance {
			flat = append(flat, c)
		}
	}
	kept, trimmed := memory.quiet(flat, cells.Freedom)
	if len(kept) < 2*leastCells {
		return
	}
	x, y, one := make([]float64, len(kept)), make([]float64, len(kept)), make([]float64, len(kept))
	for i, c := range kept {
		x[i], y[i], one[i] = float64(c.texture), c.variance, 1
	}
	line, ok := robust.FitLine(x, y, one)
	if !ok {
		return
	}
	scatter := trimmed.Relative * math.Sqrt(float64(len(kept))) * trimmed.Variance
	added := max(line.Slope, 0) * stat.Mean(x, nil)
	if clean := trimmed.Variance - added; added <= mostMotion*trimmed.Variance {
		m.take(kept, clean, line.OffsetError*scatter/clean, s)
		m.all += float64(len(kept)) * clean
	}
}

// take adds cells whose variance was estimated, with its relative standard error.
func (m *toneSums) take(kept []sample, variance, relative float64, s *toneScale) {
	n := float64(len(kept))
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
	m.all += o.all
	m.code += o.code
	m.light += o.light
	m.lightSq += o.lightSq
	m.repeated += o.repeated
}

// tone turns sums into a tone.
func (m *toneSums) tone(w worth) tone {
	n, nan := m.cells, math.NaN()
	t := tone{light: curve.Light(m.light / n), code: curve.FileCode(m.code / n), cells: int(n),
		places:  n / float64(max(w.pairs, 1)),
		samples: n * cells.Freedom / w.overlap / w.overlap / w.grain.squares,
		cut:     math.Sqrt(m.all / m.variance), sigma: nan, sigmaLight: nan, fixed: nan, row: nan, column: nan}
	variance, least := m.variance/n/w.grain.kept, float64(LeastSigma*LeastSigma)
	clean := variance - quantised
	if clean >= least {
		t.sigma = math.Sqrt(clean)
		t.sigmaLight = math.Sqrt(m.lightSq / n * clean / (m.variance/n - quantised))
	}
	// The cells' own spread, or what their samples allow, whichever is larger.
	relative := max(math.Sqrt(m.errorSq)/m.variance, math.Sqrt(2*w.grain.squares/cells.Freedom/n)) * w.overlap
	// Taking 1/12 off leaves the absolute error and so enlarges the relative one.
	t.relative = relative * variance / max(clean, least) / 2
	return t
}
