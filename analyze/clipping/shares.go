package clipping

import (
	"stopledger/analyze/cells"
	"stopledger/analyze/limit"
	"stopledger/curve"
)

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

// edge tells a soft roll-off from a hard clip.
func edge(c *Ceilings) Edge {
	switch {
	case c.Measured:
		return Hard
	case c.Soft >= limit.SoftLeast:
		return Soft
	}
	return None
}
