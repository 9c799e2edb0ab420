package clipping

import (
	"cmp"
	"slices"

	"stopledger/analyze/cells"
	"stopledger/curve"
)

// A Finder gathers the top of each channel over pairs of frames and finds the ceilings.
type Finder struct {
	Told func() // called after each row of a frame; nil for nobody

	reading curve.Reading
	chroma  curve.Chroma
	coding  Coding
	groups  []*sums
}

// NewFinder returns a finder.
func NewFinder(r curve.Reading, m curve.Matrix, c Coding) *Finder {
	return &Finder{reading: r, chroma: r.Chroma(m), coding: c}
}

// Collect adds a frame and the one before it. A group's first frame, which has none before it, only
// counts with the next. Only Frame, Before and Start are looked at.
func (f *Finder) Collect(frame *cells.Frame) {
	if frame.Before == nil {
		return
	}
	last := len(f.groups) - 1
	if last < 0 || f.groups[last].group != frame.Group {
		f.groups = append(f.groups, newSums(frame.Frame, f.reading, f.chroma, f.coding.Lossy))
		last++
	}
	now, was := cells.Channels(frame.Frame, f.chroma), cells.Channels(frame.Before, f.chroma)
	g := f.groups[last]
	g.single = g.single || frame.Before == frame.Frame
	g.surveys = append(g.surveys, cells.NewSurvey(frame.Frame))
	g.add(now, was, f.reading.PerCode(), f.Told)
}

// Empty tells whether no pair of frames was seen yet.
func (f *Finder) Empty() bool { return len(f.groups) == 0 }

// leastGlance bounds the logarithm of light at or below zero.
const leastGlance curve.Stops = -8

// Merge adds what another finder gathered in other groups.
func (f *Finder) Merge(other *Finder) { f.groups = append(f.groups, other.groups...) }

// Surveys returns the moments of the cells of each pair of frames.
func (f *Finder) Surveys() (all []*cells.Survey) {
	for _, s := range f.groups {
		all = append(all, s.surveys...)
	}
	return all
}

// Whites returns how many samples of each cell stand at video white, in each pair of frames.
func (f *Finder) Whites() (all [][]uint32) {
	for _, s := range f.groups {
		all = append(all, s.whites.byCell...)
	}
	return all
}

// Result finds the ceilings; cells of the mask hold no light.
func (f *Finder) Result(mask cells.Mask) Ceilings {
	groups := slices.SortedFunc(slices.Values(f.groups), func(a, b *sums) int { return cmp.Compare(a.group, b.group) })
	all := tops{channels: channels{reading: f.reading, coding: f.coding, mask: mask}}
	for i := range all.histograms {
		all.histograms[i], all.whites.histograms[i] = newHistogram(), newHistogram()
	}
	for _, s := range groups {
		all.merge(s)
	}
	if all.whites.covered(mask) {
		for i := range all.histograms {
			all.histograms[i].without(&all.whites.histograms[i])
		}
	}
	return all.ceilings()
}

// A Glance is how light one group's pair of frames is, and how much of it lies at the ceilings.
type Glance struct {
	Average [3]curve.Stops // log-average of R, G and B, recorded, light under leastGlance counted as that
	Clipped [3]curve.Share // samples from which R, G and B count as clipped
}

// Glances returns a glance of each group, in any order.
func (f *Finder) Glances(c Ceilings) (all []Glance) {
	stops := make([]float64, bins)
	for i := range stops {
		stops[i] = float64(max(f.reading.Stops(f.reading.FileCode(codeOf(float64(i)))), leastGlance))
	}
	for _, s := range f.groups {
		var g Glance
		for channel := range g.Average {
			var sum, n, clipped float64
			from := float64(f.reading.Code(c.From[channel])) * perCode
			for i, count := range s.histograms[channel].count {
				sum += count * stops[i]
				n += count
				if float64(i) >= from {
					clipped += count
				}
			}
			g.Average[channel], g.Clipped[channel] = curve.Stops(sum/n), curve.Share(clipped/s.samples)
		}
		all = append(all, g)
	}
	return all
}
