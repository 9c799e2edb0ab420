package placement

import (
	"cmp"
	"slices"

	"stopledger/analyze/cells"
	"stopledger/curve"
)

// An Accumulator adds up the areas that the user points at, apart for each group of frames. Sums
// are integers, so that merging in any order gives the same bits.
type Accumulator struct {
	table  *curve.Table
	from   GreyFrom
	groups []*group
}

// A group is a run of consecutive measured frames.
type group struct {
	number  int // its place in the sampling plan
	t       curve.Seconds
	frames  int
	patches []patchSums // one for each area
}

// New returns an accumulator for frames whose codes mean what the table says.
func New(table *curve.Table, from GreyFrom) *Accumulator {
	return &Accumulator{table: table, from: from}
}

// Collect adds one frame. The frames of a group come in order, one group after another. The areas
// lie within the frame.
func (a *Accumulator) Collect(f *cells.Frame) {
	if f.Start {
		g := &group{number: f.Group, t: curve.Seconds(f.Time)}
		for _, p := range a.from.Regions {
			g.patches = append(g.patches, newPatchSums(p.Region, a.table.Reading.Codes()))
		}
		a.groups = append(a.groups, g)
	}
	g := a.groups[len(a.groups)-1]
	g.frames++
	for i := range g.patches {
		g.patches[i].add(f.Luma)
	}
}

// Merge adds the groups of another accumulator, none of which is in a.
func (a *Accumulator) Merge(other *Accumulator) { a.groups = append(a.groups, other.groups...) }

// inOrder returns the groups in order of time.
func (a *Accumulator) inOrder() []*group {
	return slices.SortedFunc(slices.Values(a.groups), func(x, y *group) int { return cmp.Compare(x.number, y.number) })
}
