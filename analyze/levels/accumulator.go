package levels

import (
	"cmp"
	"slices"

	"stopledger/analyze/cells"
	"stopledger/curve"
)

// An Accumulator adds up luma by file code and by cell, apart for each group of frames. Sums are
// integers, so that merging in any order gives the same bits.
type Accumulator struct {
	Middle int // group that is wanted of those for Result's Middle; -1 for the middle one of those measured

	table  *curve.Table
	grid   cells.Grid
	groups []*sums
}

// sums are of one group. A cell's sum of 16-bit codes over 2^40 frames fits 64 bits.
type sums struct {
	group     Group // but for its average
	grid      cells.Grid
	histogram []uint64
	codes     []uint64   // sum of luma codes by cell
	first     []uint32   // the same of the first frame
	mask      cells.Mask // of the cells that hold no light
	moves     []bool     // by cell: its samples changed from one frame to the next other than together
}

// New returns an accumulator for frames whose codes mean what the table says.
func New(table *curve.Table) *Accumulator { return &Accumulator{Middle: -1, table: table} }

// Collect adds one frame. The frames of a group come in order, one group after another.
func (a *Accumulator) Collect(f *cells.Frame) {
	if f.Start {
		a.begin(f)
	}
	s := a.groups[len(a.groups)-1]
	s.group.Frames++
	for code, n := range f.Histogram {
		s.histogram[code] += uint64(n)
	}
	for i := range f.Cells {
		c := &f.Cells[i]
		s.codes[i] += c.Sum
		s.moves[i] = s.moves[i] || c.Deviation > 0
	}
}

func (a *Accumulator) begin(f *cells.Frame) {
	a.grid = f.Grid
	n := len(f.Cells)
	first := make([]uint32, n)
	for i := range f.Cells {
		first[i] = uint32(f.Cells[i].Sum)
	}
	a.groups = append(a.groups, &sums{
		group:     Group{Number: f.Group, First: f.Index, T: curve.Seconds(f.Time)},
		grid:      f.Grid,
		histogram: make([]uint64, a.table.Reading.Codes()),
		mask:      f.Mask, first: first, codes: make([]uint64, n), moves: make([]bool, n),
	})
}

// Merge adds the groups of another accumulator, none of which is in a.
func (a *Accumulator) Merge(other *Accumulator) {
	if len(other.groups) > 0 {
		a.grid = other.grid
	}
	a.groups = append(a.groups, other.groups...)
}

func inOrder(x, y *sums) int { return cmp.Compare(x.group.Number, y.group.Number) }

// Result sums up. It asks for at least one frame.
func (a *Accumulator) Result() Result {
	groups := slices.SortedFunc(slices.Values(a.groups), inOrder)
	var r Result
	histogram := make([]uint64, a.table.Reading.Codes())
	for _, s := range groups {
		for code, n := range s.histogram {
			histogram[code] += n
		}
		group := s.group
		group.Average = logAverage(s.histogram, a.table)
		r.Groups = append(r.Groups, group)
	}
	middle := groups[len(groups)/2]
	if a.Middle >= 0 {
		middle = slices.MinFunc(groups, func(x, y *sums) int { return cmp.Compare(x.from(a.Middle), y.from(a.Middle)) })
	}
	r.Middle = Cells{middle.group.First, a.grid, middle.stops(a.table.Reading)}
	r.Histogram = histogramOf(histogram, a.table.Reading)
	r.Scene = sceneOf(histogram, a.table)
	r.Outside, r.UnderZero = a.beyond(histogram)
	r.Used, r.Span, r.Combed = spacing(histogram)
	return r
}

// from tells how far a group lies from another.
func (s *sums) from(group int) int { return max(s.group.Number-group, group-s.group.Number) }

// stops returns the recorded stops of each cell's mean code in the first frame.
func (s *sums) stops(r curve.Reading) []curve.Stops {
	out := make([]curve.Stops, len(s.first))
	for i, sum := range s.first {
		out[i] = stopsOf(r, uint64(sum), s.pixels(i))
	}
	return out
}

// CellsOf returns the levels of a frame's cells.
func CellsOf(f *cells.Frame, r curve.Reading) Cells {
	c := Cells{f.Index, f.Grid, make([]curve.Stops, len(f.Cells))}
	for i := range f.Cells {
		c.Stops[i] = stopsOf(r, f.Cells[i].Sum, uint64(f.Cells[i].Pixels))
	}
	return c
}

// stopsOf returns the recorded stops of a mean code.
func stopsOf(r curve.Reading, sum, pixels uint64) curve.Stops {
	return max(r.Stops(curve.FileCode(float64(sum)/float64(pixels))), Darkest)
}

// pixels returns how many luma samples a cell has in one frame.
func (s *sums) pixels(cell int) uint64 {
	return uint64(s.grid.Pixels(cell%s.grid.Cols, cell/s.grid.Cols))
}

// beyond returns the shares of the picture outside narrow range and below the curve's black.
// Levels are means of cells, so that noise around black is no level below it.
func (a *Accumulator) beyond(histogram []uint64) (outside, underZero curve.Share) {
	r := a.table.Reading
	black := r.CodeOf(0)
	var below, dark, area float64
	for _, s := range a.groups {
		for i, sum := range s.codes {
			if s.mask.Has(i) {
				continue
			}
			pixels := float64(s.pixels(i)) * float64(s.group.Frames)
			code := curve.FileCode(float64(sum) / pixels)
			area += pixels
			if code < r.FileCode(underNarrow) {
				below += pixels
			}
			// Bars that a camera or an edit adds hold still to the last code.
			if code < black-r.FileCode(underBlack) && s.moves[i] {
				dark += pixels
			}
		}
	}
	narrow := curve.Reading{Curve: r.Curve, Range: curve.Narrow, Bits: r.Bits}
	return curve.Share(below/area + shareAbove(histogram, narrow.Last())), curve.Share(dark / area)
}
