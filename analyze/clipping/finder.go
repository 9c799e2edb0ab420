package clipping

import (
	"cmp"
	"slices"

	"stopledger/analyze/cells"
	"stopledger/curve"
	"stopledger/decode"
)

// A Finder gathers the top of each channel over pairs of frames and finds the ceilings.
type Finder struct {
	reading curve.Reading
	chroma  curve.Chroma
	lossy   bool
	groups  []*sums
}

// sums are what is gathered in one group of frames. They are kept apart by group and added up in
// order at the end, so that merging in any order gives the same bits.
type sums struct {
	group    int
	channels [3]histogram
	hues     hues
	samples  float64    // of one channel
	gray     bool       // there is luma only
	rounding [3]float64 // variance that rounding of Y', Cb and Cr leaves in a channel, (10-bit code)^2
}

// NewFinder returns a finder. lossy tells that coding may have taken noise.
func NewFinder(r curve.Reading, m curve.Matrix, lossy bool) *Finder {
	return &Finder{reading: r, chroma: r.Chroma(m), lossy: lossy}
}

// Collect adds a frame and the one before it. A group's first frame, which has none before it, only
// counts with the next. Only Frame, Before and Start are looked at.
func (f *Finder) Collect(frame *cells.Frame) {
	if frame.Before == nil {
		return
	}
	last := len(f.groups) - 1
	if last < 0 || f.groups[last].group != frame.Group {
		f.groups = append(f.groups, f.begin(frame.Frame))
		last++
	}
	now, was := cells.Channels(frame.Frame, f.chroma), cells.Channels(frame.Before, f.chroma)
	f.groups[last].add(now, was, f.reading.PerCode())
}

func (f *Finder) begin(frame *decode.Frame) *sums {
	s := &sums{group: frame.Group, gray: frame.Layout == decode.Gray}
	for i, variance := range cells.Rounding(frame, f.chroma) {
		s.channels[i] = newHistogram()
		s.rounding[i] = float64(f.reading.Variance(variance))
	}
	return s
}

// add compares two frames, row by row.
func (s *sums) add(now, was *cells.ChannelReader, fileCodes float64) {
	for y := range now.Height {
		rgb, before := now.Row(y), was.Row(y)
		for i := range rgb {
			s.channels[i].compare(rgb[i], before[i], fileCodes)
		}
		s.hues.add(rgb, fileCodes)
		s.samples += float64(now.Width)
	}
}

// Empty tells whether no pair of frames was seen yet.
func (f *Finder) Empty() bool { return len(f.groups) == 0 }

// Merge adds what another finder gathered in other groups.
func (f *Finder) Merge(other *Finder) { f.groups = append(f.groups, other.groups...) }

// Result finds the ceilings.
func (f *Finder) Result() Ceilings {
	groups := slices.SortedFunc(slices.Values(f.groups), func(a, b *sums) int { return cmp.Compare(a.group, b.group) })
	all := tops{reading: f.reading, lossy: f.lossy}
	for i := range all.channels {
		all.channels[i] = newHistogram()
	}
	for _, s := range groups {
		for i := range s.channels {
			all.channels[i].merge(&s.channels[i])
		}
		all.hues.merge(&s.hues)
		all.samples += s.samples
		all.gray, all.rounding = s.gray, s.rounding
	}
	return all.ceilings()
}
