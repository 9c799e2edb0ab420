package variation

import (
	"cmp"
	"math"
	"slices"

	"stopledger/analyze/cells"
	"stopledger/analyze/levels"
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// An Accumulator gathers the level of each frame, apart for each group of frames.
type Accumulator struct {
	stops  []int64 // recorded stops by file code, in units of 1 / oneStop
	groups []group
}

// A group is the levels of consecutive frames.
type group struct {
	number int
	frames []placement.At
}

// oneStop is one stop in a frame's sum: integers, so that cells may be added in any order. A frame
// of 2^27 samples fits up to 2^12 stops.
const oneStop = 1 << 24

// New returns an accumulator for frames whose codes mean what the table says.
func New(table *curve.Table) *Accumulator {
	a := &Accumulator{stops: make([]int64, len(table.Stops))}
	for code, stops := range table.Stops {
		a.stops[code] = int64(math.Round(oneStop * float64(max(stops, levels.Darkest))))
	}
	return a
}

// Collect adds one frame: the mean of the recorded stops of its cells' mean codes, weighted by
// their pixels. The frames of a group come in order, one group after another.
func (a *Accumulator) Collect(f *cells.Frame) {
	if f.Start {
		a.groups = append(a.groups, group{number: f.Group})
	}
	var sum, pixels int64
	for i := range f.Cells {
		if f.Mask.Has(i) {
			continue
		}
		c := &f.Cells[i]
		n := int64(c.Pixels)
		sum += n * a.stops[c.Sum/uint64(n)]
		pixels += n
	}
	g := &a.groups[len(a.groups)-1]
	level := curve.Stops(float64(sum) / oneStop / float64(pixels))
	g.frames = append(g.frames, placement.At{T: curve.Seconds(f.Time), Stops: level})
}

// Merge adds the groups of another accumulator, none of which is in a.
func (a *Accumulator) Merge(other *Accumulator) { a.groups = append(a.groups, other.groups...) }

func inOrder(x, y group) int { return cmp.Compare(x.number, y.number) }

func byTime(x, y placement.At) int { return cmp.Compare(x.T, y.T) }

// Result tells drift, step and flicker apart. moments has one level a group: the grey's where it
// is seen in each, else the scene's. rate is frames a second, 0 where unknown.
func (a *Accumulator) Result(moments []placement.At, rate float64) Result {
	groups := slices.SortedFunc(slices.Values(a.groups), inOrder)
	moments = slices.SortedStableFunc(slices.Values(moments), byTime)
	frames := make([][]placement.At, 0, len(groups))
	for _, g := range groups {
		frames = append(frames, g.frames)
	}
	return tell(moments, frames, rate)
}
