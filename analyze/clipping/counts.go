package clipping

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"stopledger/analyze/cells"
	"stopledger/curve"
)

// counts are of one group of frames. A cell's 256 samples over 2^24 frames fit 32 bits.
type counts struct {
	group   int
	t       curve.Seconds
	frames  int
	any     []uint32  // by cell: samples at the ceiling in at least one channel
	all     []uint32  // in all three
	clipped [3]uint64 // of the whole frame: R, G, B
}

// shares returns the clipped shares of one group's frames.
func (c *counts) shares(g cells.Grid) Shares {
	var any, all uint64
	for i, n := range c.any {
		any += uint64(n)
		all += uint64(c.all[i])
	}
	samples := float64(g.Samples) * float64(c.frames)
	share := func(n uint64) curve.Share { return curve.Share(float64(n) / samples) }
	return Shares{share(c.clipped[0]), share(c.clipped[1]), share(c.clipped[2]), share(any), share(all)}
}

// within returns the samples at the ceiling in a set of cells, in any channel and in all three.
func (c *counts) within(set []int) (any, all float64) {
	for _, i := range set {
		any += float64(c.any[i])
		all += float64(c.all[i])
	}
	return any, all
}

// mean averages the shares of groups over their frames.
func mean(groups []*counts, shares []Shares) Shares {
	var m Shares
	var frames curve.Share
	for i, c := range groups {
		n, s := curve.Share(c.frames), shares[i]
		m.R += n * s.R
		m.G += n * s.G
		m.B += n * s.B
		m.Any += n * s.Any
		m.All += n * s.All
		frames += n
	}
	return Shares{m.R / frames, m.G / frames, m.B / frames, m.Any / frames, m.All / frames}
}

// wholeCell is the clipped share from which a cell counts as clipped whole.
const wholeCell = 0.98

// interval returns the 95 % interval of the clipped share of the clip: what the groups differ by
// (Student's t of the mean of n groups), and half of what lies in cells that clip in part, where an
// edge, coding and the filter of chroma samples decide which samples count.
func interval(groups []*counts, shares []Shares, any curve.Share, g cells.Grid) (low, high curve.Share) {
	var partial, frames float64
	each := make([]float64, len(groups))
	for i, c := range groups {
		each[i] = float64(shares[i].Any)
		frames += float64(c.frames)
		for _, n := range c.any {
			if fill := float64(n) / float64(g.PerCell*c.frames); fill > 0 && fill < wholeCell {
				partial += min(fill, 1-fill) * float64(g.PerCell*c.frames)
			}
		}
	}
	half := partial / (float64(g.Samples) * frames)
	if n := float64(len(each)); n > 1 {
		t := distuv.StudentsT{Sigma: 1, Nu: n - 1}.Quantile(0.975)
		half = math.Hypot(half, stat.StdDev(each, nil)/math.Sqrt(n)*t)
	}
	return max(any-curve.Share(half), 0), min(any+curve.Share(half), 1)
}
