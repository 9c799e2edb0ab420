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
	// tones run from darkestTone to the ceiling.
	darkestTone = -10
	// quantised is the variance of rounding to whole codes, uniform over one code.
	quantised = 1.0 / 12
	// leastSigma is the noise, in file codes, below which rounding hides it: the correction by
	// 1/12 fails there (EMVA 1288 treats a variance under 0.24 as quantisation: sigma 0.40
	// after the correction; at 0.5 the corrected figure is right within 1.6 %).
	leastSigma = 0.5
)

// cellsOf returns the noise of the cells of all groups, those left out that hold clipped samples
// or never change, and how many whole cells there were.
func cellsOf(groups []*groupSums, g grid, perCell float64) (cells []cellNoise, looked int) {
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
			cells = append(cells, cellNoise{
				code:     float64(c.sum) / frames / cellArea,
				variance: float64(c.diffSq) / pairs / pairScale,
				spatial:  (float64(c.sumSq) - float64(c.sqSum)/cellArea) / frames / (cellArea - 1),
			})
		}
	}
	return cells, looked
}

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
		if math.IsInf(stops, -1) || stops < darkestTone {
			stops = darkestTone
		}
		at := int(math.Floor(stops * toneParts / toneStep))
		parts[at] = append(parts[at], c)
	}
	merged := map[int]*toneSums{}
	for at, part := range parts {
		kept, variance, relative := quietCells(part, freedom)
		if len(kept) < leastCells {
			continue
		}
		used += len(kept)
		tone := int(math.Floor(float64(at) / toneParts))
		if merged[tone] == nil {
			merged[tone] = &toneSums{}
		}
		merged[tone].add(kept, variance, relative, r)
	}
	for _, m := range merged {
		tones = append(tones, m.tone(r, freedom))
	}
	sort.Slice(tones, func(i, j int) bool { return tones[i].Code < tones[j].Code })
	return tones, used
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
	if clean := variance - quantised; clean >= leastSigma*leastSigma {
		t.SigmaCode = math.Sqrt(clean)
		t.SigmaLinear = math.Sqrt(m.sigmaLinearSq / n)
		// Taking 1/12 off leaves the absolute error and so enlarges the relative one.
		t.Relative *= variance / clean
	}
	return t
}
