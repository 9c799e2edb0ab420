package noise

import (
	"math"
	"slices"

	"stopledger/analyze/cells"
	"stopledger/analyze/robust"
	"stopledger/decode"
)

const (
	// batch is how many frames' samples are held before they are sorted into tones.
	batch = 8
	// cleanShare is the share of a cell's samples at the ceiling from which its noise is not used.
	cleanShare = 0.002
	// mostForQuarter is how many cells tell a pair's quieter quarter well enough.
	mostForQuarter = 2048
)

// A group holds what was collected of one group of frames.
type group struct {
	number int
	t      float64 // seconds, of its first frame
	frames int
	pairs  int
	looked int // cells looked at for noise, once a pair
	table  toneTable
	into   []pairLevel
	growth float64 // variance between first and last frame / between neighbours, lower quartile over cells; NaN
	detail *detail // nil unless it had a closer look

	samples    []sample // of the current batch
	deviations []uint64 // by cell, over all pairs; given up at the group's end
}

// A pairLevel is how much a frame differs from the one before, in its quieter cells.
type pairLevel struct {
	picture  decode.Picture
	variance float64 // file code^2, lower quartile over whole cells
}

func newGroup(f *cells.Frame) *group {
	return &group{number: f.Group, t: f.Time, table: toneTable{}, growth: math.NaN(),
		deviations: make([]uint64, len(f.Cells))}
}

// collect takes the group's next frame.
func (g *group) collect(f *cells.Frame, s *toneScale) {
	g.frames++
	if f.Before != nil {
		g.pairs++
		g.addPair(f, s)
		g.addLevel(f)
	}
	if g.frames%batch == 0 || f.End {
		g.table.add(g.samples, s)
		g.samples = g.samples[:0]
	}
	if f.End {
		if g.frames > 2 {
			g.growth = g.measureGrowth(f)
		}
		g.samples, g.deviations = nil, nil
	}
}

// addPair takes the noise of each whole, unclipped cell that is of one tone.
func (g *group) addPair(f *cells.Frame, s *toneScale) {
	mostClipped := float64(f.Grid.PerCell) * cleanShare
	for i := range f.Cells {
		c := &f.Cells[i]
		if !c.Whole() || f.Mask.Has(i) {
			continue
		}
		g.looked++
		g.deviations[i] += c.Deviation
		if float64(c.Any) > mostClipped {
			continue
		}
		if n := sampleOf(c); n.oneTone(s) {
			g.samples = append(g.samples, n)
		}
	}
}

// addLevel records how much the frame's quieter cells changed.
func (g *group) addLevel(f *cells.Frame) {
	quiet := make([]float64, 0, mostForQuarter+1)
	for i := 0; i < len(f.Cells); i += 1 + len(f.Cells)/mostForQuarter {
		if c := &f.Cells[i]; c.Whole() && !f.Mask.Has(i) {
			quiet = append(quiet, varianceOf(c))
		}
	}
	if len(quiet) > 0 {
		slices.Sort(quiet)
		g.into = append(g.into, pairLevel{f.Picture, quiet[len(quiet)/4]})
	}
}

// measureGrowth compares the group's first frame with its last, f. White noise differs by as much
// over any lag; noise that a codec carries over from frame to frame differs more over a long one.
func (g *group) measureGrowth(f *cells.Frame) float64 {
	far := make([]float64, 0, len(f.Cells))
	for i, sum := range g.deviations {
		if sum == 0 { // also of cells that are cut off
			continue
		}
		near := cells.Variance(sum) / float64(g.pairs)
		x, y := i%f.Grid.Cols*cells.Size, i/f.Grid.Cols*cells.Size
		far = append(far, cells.Variance(cells.Deviation(f.Luma, f.LumaFirst, x, y))/near)
	}
	if len(far) == 0 {
		return math.NaN()
	}
	slices.Sort(far)
	// The lower quartile leaves out what moved; noise alone puts it this far below 1.
	spread := 2/float64(cells.Freedom) + 2/(cells.Freedom*pairFreedom(g.pairs))
	return far[len(far)/4] / robust.ChiQuantile(0.25, 2/spread)
}
