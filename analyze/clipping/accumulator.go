package clipping

import (
	"cmp"
	"slices"

	"stopledger/analyze/cells"
	"stopledger/curve"
)

// An Accumulator counts the samples at the ceilings by cell, apart for each group of frames. Counts
// are integers, so that merging in any order gives the same bits.
type Accumulator struct {
	reading  curve.Reading
	ceilings Ceilings
	grid     cells.Grid
	groups   []*counts
}

// New returns an accumulator for a recording with these ceilings. The cells' own counts are to
// have been made with the same.
func New(r curve.Reading, c Ceilings) *Accumulator { return &Accumulator{reading: r, ceilings: c} }

// Collect adds one frame. The frames of a group come in order, one group after another.
func (a *Accumulator) Collect(f *cells.Frame) {
	if f.Start {
		a.grid = f.Grid
		n := len(f.Cells)
		a.groups = append(a.groups, &counts{group: f.Group, t: curve.Seconds(f.Time),
			any: make([]uint32, n), all: make([]uint32, n)})
	}
	g := a.groups[len(a.groups)-1]
	g.frames++
	for i := range f.Cells {
		c := &f.Cells[i]
		if c.Any == 0 || f.Mask.Has(i) {
			continue
		}
		g.any[i] += c.Any
		g.all[i] += c.All
		for channel, n := range c.Clipped {
			g.clipped[channel] += uint64(n)
		}
	}
}

// Merge adds the groups of another accumulator, none of which is in a.
func (a *Accumulator) Merge(other *Accumulator) {
	if len(other.groups) > 0 {
		a.grid = other.grid
	}
	a.groups = append(a.groups, other.groups...)
}

func inOrder(x, y *counts) int { return cmp.Compare(x.group, y.group) }

// Result sums up; rate is frames a second, 0 where unknown. It asks for at least one frame.
func (a *Accumulator) Result(rate float64) Result {
	groups := slices.SortedFunc(slices.Values(a.groups), inOrder)
	c := a.ceilings
	r := Result{Ceiling: a.ceiling(), Channels: map[string]curve.Level{}, Each: map[string]Level{}, Ceilings: c,
		Brightest: c.Brightest, SoftShare: c.Soft, Edge: c.edge(), Headroom: curve.Unknown[curve.Stops]()}
	end := a.reading.Top()
	if !c.Measured {
		end = c.Code
	}
	for i, name := range []string{"r", "g", "b"} {
		r.Each[name] = Level{a.reading.Code(end), CurveEnd}
		if c.known(i) {
			r.Channels[name] = a.reading.Level(c.Channel[i])
			r.Each[name] = Level{a.reading.Code(c.Channel[i]), c.origin()}
		}
	}
	for _, g := range groups {
		r.Groups = append(r.Groups, g.shares(a.grid))
	}
	r.Clipped = mean(groups, r.Groups)
	r.Low, r.High = interval(groups, r.Groups, r.Clipped.Any, a.grid)
	r.High = max(r.High, c.Unseen)
	if c.Shoulder {
		r.Low = 0 // light that is bent onto the ceiling counts as clipped
	}
	r.Areas = findAreas(groups, a.grid, rate)
	r.Undecided = !r.fieldClips() && (c.Undecided || c.Shoulder)
	if r.Undecided {
		r.High = 1 // how much may clip is not known
	}
	if room := a.reading.Stops(c.Code) - c.Brightest; !r.fieldClips() && !r.Undecided && curve.Finite(room) {
		r.Headroom = max(room, 0)
		if !c.Measured {
			r.Bound = AtMost
		}
	}
	return r
}

func (a *Accumulator) ceiling() Ceiling {
	code := a.ceilings.Code
	return Ceiling{Level: a.reading.Level(code), Recorded: a.reading.Stops(code), Origin: a.ceilings.origin()}
}

func (r *Result) fieldClips() bool {
	return slices.ContainsFunc(r.Areas, func(a Area) bool { return a.Kind == Field })
}
