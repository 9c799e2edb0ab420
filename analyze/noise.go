package analyze

import (
	"math"
	"sort"

	"stopledger/curve"
)

// A cellNoise is the noise of one cell in one group.
type cellNoise struct {
	code     float64 // mean file code
	variance float64 // temporal, file code^2, quantisation still in it
	spatial  float64 // within one frame, file code^2
}

const (
	// toneStep is the width of a tone in stops.
	toneStep = 0.5
	// toneParts is how finely a tone is cut for the rejection of moving cells: noise in codes
	// changes by a tenth or so over half a stop, more than a cell's own uncertainty.
	toneParts = 4
	// leastCells is how many cells a part of a tone must have.
	leastCells = 4
	// quantised is the variance of rounding to whole codes, uniform over one code.
	quantised = 1.0 / 12
)

// DarkestTone is the lowest tone in recorded stops; what is darker counts to it.
const DarkestTone = -10

// LeastSigma is the noise, in file codes, below which rounding hides it: the correction by 1/12
// fails there. EMVA 1288 release 4.0 counts a variance under 0.24, sigma 0.40 after the
// correction, as quantisation; at 0.5 the corrected figure is right within 1.6 %.
const LeastSigma = 0.5

// cellsOf returns the noise of the cells of all groups, those left out that hold clipped
// samples, never change or span more than one tone, and how many whole cells there were.
func cellsOf(groups []*groupSums, g grid, perCell float64, r curve.Reading) (cells []cellNoise, looked int) {
	for _, s := range groups {
		if s.pairs == 0 {
			continue
		}
		frames, pairs := float64(s.frames), float64(s.pairs)
		for i := range s.cells {
			c := &s.cells[i]
			if !g.whole(i%g.cols, i/g.cols) {
				continue
			}
			looked++
			if float64(c.any) > perCell*frames*cleanShare || int(c.repeats)*2 > s.pairs {
				continue
			}
			cell := cellNoise{
				code:     float64(c.sum) / frames / cellArea,
				variance: float64(c.diffSq) / pairs / pairScale,
				spatial:  (float64(c.sumSq) - float64(c.sqSum)/cellArea) / frames / (cellArea - 1),
			}
			if cell.oneTone(r) {
				cells = append(cells, cell)
			}
		}
	}
	return cells, looked
}

// oneTone tells whether what lies in a cell is of one tone. An edge between a light and a dark
// surface has a mean that neither has, and noise that does not belong to it.
func (c cellNoise) oneTone(r curve.Reading) bool {
	texture := math.Sqrt(max(c.spatial-c.variance, 0))
	stop := max(r.Linear(c.code), 0) * math.Ln2 / r.LinearPerCode(c.code)
	return texture <= max(mostTexture*stop, math.Sqrt(c.variance)/2)
}

// mostTexture is the spread of content within a cell, in stops.
const mostTexture = 0.2

// cleanShare is the share of a cell's samples at the ceiling from which its noise is not used.
const cleanShare = 0.002

// pairFreedom returns the degrees of freedom that n overlapping pairs of frames give per sample:
// neighbouring differences share a frame, which costs a third (worked in testdata/noise.md).
func pairFreedom(pairs int) float64 {
	n := float64(pairs)
	return 2 * n * n / (3*n - 1)
}

// tonesOf sorts cells into half-stop tones and estimates the noise of each. freedom is a cell's
// degrees of freedom, correlation counted. It returns how many cells were used.
func tonesOf(cells []cellNoise, r curve.Reading, freedom float64) (tones []Tone, used int) {
	parts := map[int][]cellNoise{}
	for _, c := range cells {
		stops := r.Stops(c.code)
		if math.IsInf(stops, -1) || stops < DarkestTone {
			stops = DarkestTone
		}
		at := int(math.Floor(stops * toneParts / toneStep))
		parts[at] = append(parts[at], c)
	}
	for _, pieces := range byTone(parts) {
		var m toneSums
		for _, piece := range pieces {
			kept, variance, relative := quietCells(piece, freedom)
			if len(kept) >= leastCells {
				m.add(kept, variance, relative, r)
			}
		}
		if m.cells > 0 {
			used += int(m.cells)
			tones = append(tones, m.tone(r, freedom))
		}
	}
	sort.Slice(tones, func(i, j int) bool { return tones[i].Code < tones[j].Code })
	return tones, used
}

// byTone gathers the parts of each tone; those with too few cells are put together.
func byTone(parts map[int][]cellNoise) map[int][][]cellNoise {
	tones, few := map[int][][]cellNoise{}, map[int][]cellNoise{}
	for at := range parts {
		tones[int(math.Floor(float64(at)/toneParts))] = nil
	}
	for tone := range tones {
		for at := tone * toneParts; at < (tone+1)*toneParts; at++ {
			if part := parts[at]; len(part) >= 2*leastCells {
				tones[tone] = append(tones[tone], part)
			} else {
				few[tone] = append(few[tone], part...)
			}
		}
		if len(few[tone]) > 0 {
			tones[tone] = append(tones[tone], few[tone])
		}
	}
	return tones
}

// toneSums merge the parts of a tone, each by its number of cells.
type toneSums struct {
	cells, variance, errorSq, code, linear float64
	sigmaLinearSq                          float64
}

func (m *toneSums) add(kept []cellNoise, variance, relative float64, r curve.Reading) {
	n := float64(len(kept))
	m.cells += n
	m.variance += n * variance
	m.errorSq += n * n * variance * variance * relative * relative
	for _, c := range kept {
		m.code += c.code
		m.linear += r.Linear(c.code)
		slope := r.LinearPerCode(c.code)
		m.sigmaLinearSq += max(variance-quantised, 0) * slope * slope
	}
}

func (m *toneSums) tone(r curve.Reading, freedom float64) Tone {
	n := m.cells
	t := Tone{Linear: m.linear / n, Code: m.code / n, Cells: int(n), Samples: n * freedom,
		SigmaCode: math.NaN(), SigmaLinear: math.NaN(), Fixed: math.NaN(), Row: math.NaN(), Column: math.NaN()}
	t.Stops = curve.ToStops(t.Linear)
	variance := m.variance / n
	t.Relative = math.Sqrt(m.errorSq) / n / variance / 2
	if clean := variance - quantised; clean >= LeastSigma*LeastSigma {
		t.SigmaCode = math.Sqrt(clean)
		t.SigmaLinear = math.Sqrt(m.sigmaLinearSq / n)
		// Taking 1/12 off leaves the absolute error and so enlarges the relative one.
		t.Relative *= variance / clean
	}
	return t
}
