package analyze

import (
	"maps"
	"math"
	"slices"

	"stopledger/curve"
)

// A cellNoise is the noise of one cell in one pair of frames.
type cellNoise struct {
	code     float64 // mean file code
	variance float64 // temporal, of one frame, file code^2, quantisation still in it
	spatial  float64 // within the frame, file code^2
	repeated bool    // every sample is as in the frame before
}

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
	// mostTexture is the spread of content within a cell, in stops, up to which it is of one tone.
	mostTexture = 0.2
	// cleanShare is the share of a cell's samples at the ceiling from which its noise is not used.
	cleanShare = 0.002
)

// DarkestTone is the lowest tone in recorded stops; what is darker counts to it.
const DarkestTone = -10

// LeastSigma is the noise, in file codes, below which rounding hides it: the correction by 1/12
// fails there. EMVA 1288 release 4.0 counts a variance under 0.24, sigma 0.40 after the
// correction, as quantisation; at 0.5 the corrected figure is right within 1.6 %.
const LeastSigma = 0.5

// oneTone tells whether what lies in a cell is of one tone. An edge between a light and a dark
// surface has a mean that neither has, and noise that does not belong to it.
func (c cellNoise) oneTone(s *toneScale) bool {
	texture := math.Sqrt(max(c.spatial-c.variance, 0))
	stop := max(at(s.linear, c.code), 0) * math.Ln2 / at(s.slope, c.code)
	return texture <= max(mostTexture*stop, math.Sqrt(c.variance)/2)
}

// pairFreedom returns the degrees of freedom that n overlapping pairs of frames give per sample:
// neighbouring differences share a frame, which costs a third (2n^2/(3n-1); worked and simulated
// in testdata/noise.md).
func pairFreedom(pairs int) float64 {
	n := float64(pairs)
	return 2 * n * n / (3*n - 1)
}

// overlap returns by how much errors grow because n overlapping pairs of frames are worth less
// than as many separate ones.
func overlap(pairs int) float64 {
	if pairs == 0 {
		return 1
	}
	return math.Sqrt(float64(pairs) / pairFreedom(pairs))
}

// A toneTable gathers noise by tone, keyed by the tone's number: tone i runs from i to i+1 half
// stops over nominal grey.
type toneTable map[int]*toneSums

// toneSums add up the cells of one tone that held still. Each part of a tone enters with its own
// estimate of the variance.
type toneSums struct {
	cells    float64
	variance float64 // sum over cells, file code^2
	errorSq  float64 // squared error of that sum
	code     float64 // sum over cells
	linear   float64 // sum over cells
	linearSq float64 // sum over cells of the variance in light, quantisation taken off
	repeated float64 // cells that repeat the frame before, not among the others
}

// add estimates the noise of a batch of cells.
func (t *toneTable) add(cells []cellNoise, s *toneScale) {
	if *t == nil {
		*t = toneTable{}
	}
	for tone, parts := range byTone(cells, s) {
		m := (*t)[tone]
		if m == nil {
			m = &toneSums{}
			(*t)[tone] = m
		}
		for _, part := range parts {
			m.addPart(part, s)
		}
	}
}

// addPart adds the cells of a part that hold still.
func (m *toneSums) addPart(part []cellNoise, s *toneScale) {
	moving := part[:0:0]
	for _, c := range part {
		if c.repeated {
			m.repeated++
		} else {
			moving = append(moving, c)
		}
	}
	kept, variance, relative := quietCells(moving, cellFreedom)
	if len(kept) < leastCells {
		return
	}
	n := float64(len(kept))
	m.cells += n
	m.variance += n * variance
	m.errorSq += n * n * variance * variance * relative * relative
	var code float64
	for _, c := range kept {
		code += c.code
	}
	linear, sigma := s.light(code/n, math.Sqrt(max(variance-quantised, 0)))
	m.code += code
	m.linear += n * linear
	m.linearSq += n * sigma * sigma
}

// merge adds another table, of other frames.
func (t *toneTable) merge(other toneTable) {
	if *t == nil {
		*t = toneTable{}
	}
	for tone, o := range other {
		m := (*t)[tone]
		if m == nil {
			m = &toneSums{}
			(*t)[tone] = m
		}
		m.cells += o.cells
		m.variance += o.variance
		m.errorSq += o.errorSq
		m.code += o.code
		m.linear += o.linear
		m.linearSq += o.linearSq
		m.repeated += o.repeated
	}
}

// byTone sorts cells into the parts of tones; parts with few cells are put together.
func byTone(cells []cellNoise, s *toneScale) map[int][][]cellNoise {
	parts := map[int][]cellNoise{}
	for _, c := range cells {
		stops := max(at(s.stops, c.code), DarkestTone)
		part := int(math.Floor(stops * toneParts / toneStep))
		parts[part] = append(parts[part], c)
	}
	tones, few := map[int][][]cellNoise{}, map[int][]cellNoise{}
	for _, at := range slices.Sorted(maps.Keys(parts)) {
		part := parts[at]
		tone := int(math.Floor(float64(at) / toneParts))
		if len(part) >= 2*leastCells {
			tones[tone] = append(tones[tone], part)
		} else {
			few[tone] = append(few[tone], part...)
		}
	}
	for tone, part := range few {
		tones[tone] = append(tones[tone], part)
	}
	return tones
}

// A worth says how many independent samples the cells are worth.
type worth struct {
	overlap float64 // errors are larger by this than if pairs of frames shared none
	grain   grain
}

// tone turns sums into a result.
func (m *toneSums) tone(w worth) Tone {
	n := m.cells
	t := Tone{Linear: m.linear / n, Code: m.code / n, Cells: int(n), Samples: n * cellFreedom / w.overlap / w.overlap / w.grain.squares,
		SigmaCode: math.NaN(), SigmaLinear: math.NaN(), Relative: math.NaN(), Fixed: math.NaN(), Row: math.NaN(), Column: math.NaN()}
	t.Stops = curve.ToStops(t.Linear)
	variance := m.variance / n / w.grain.kept
	if clean := variance - quantised; clean >= LeastSigma*LeastSigma {
		t.SigmaCode = math.Sqrt(clean)
		t.SigmaLinear = math.Sqrt(m.linearSq / n * clean / (m.variance/n - quantised))
		// The cells' own spread, or what their samples allow, whichever is larger.
		relative := max(math.Sqrt(m.errorSq)/m.variance, math.Sqrt(2*w.grain.squares/cellFreedom/n)) * w.overlap
		// Taking 1/12 off leaves the absolute error and so enlarges the relative one.
		t.Relative = relative * variance / clean / 2
	}
	return t
}

// tones returns the table's tones, darkest first.
func (t toneTable) tones(w worth) []Tone {
	var out []Tone
	for _, at := range sortedKeys(t) {
		if m := t[at]; m.cells > 0 {
			out = append(out, m.tone(w))
		}
	}
	return out
}
