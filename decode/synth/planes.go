package synth

import (
	"stopledger/curve"
	"stopledger/decode"
)

// Planes are one recorded frame without a codec: Y', Cb, Cr or R', G', B' as integers of the
// camera's depth, rows without padding.
type Planes struct {
	Samples [3][]uint16   // of each plane, row by row
	Width   [3]int        // samples
	Height  [3]int        // samples
	Layout  decode.Layout // YCbCr or RGB
	Bits    int           // of one sample
	Index   int           // frame of the shot, from 0
	Time    curve.Seconds // from the start
	// Clipped counts the pixels whose sensor channels reached their ceilings.
	Clipped ClipCount
}

func newPlanes(c Camera) Planes {
	p := Planes{Bits: c.Bits, Layout: decode.YCbCr}
	cw, ch := c.Width, c.Height
	switch c.Sampling {
	case S422:
		cw /= 2
	case S420:
		cw, ch = cw/2, ch/2
	case RGB:
		p.Layout = decode.RGB
	}
	p.Width, p.Height = [3]int{c.Width, cw, cw}, [3]int{c.Height, ch, ch}
	for i := range p.Samples {
		p.Samples[i] = make([]uint16, p.Width[i]*p.Height[i])
	}
	return p
}

// Row returns the samples of row y of plane i.
func (p Planes) Row(i, y int) []uint16 {
	w := p.Width[i]
	return p.Samples[i][y*w : (y+1)*w : (y+1)*w]
}

// Frame returns the planes as a decoded frame of group 0. The samples are shared.
func (p Planes) Frame() *decode.Frame {
	f := &decode.Frame{Layout: p.Layout, Bits: p.Bits, Index: p.Index, Time: float64(p.Time), Picture: 'I'}
	for i := range f.Planes {
		f.Planes[i] = decode.Plane{Samples: p.Samples[i], Stride: p.Width[i], Width: p.Width[i], Height: p.Height[i]}
	}
	return f
}

// A ClipCount counts pixels at a ceiling.
type ClipCount struct {
	R, G, B, Any, All int // at the ceiling in each channel, in any, in all three
	Pixels            int // counted over
}

func (c *ClipCount) add(d ClipCount) {
	c.R += d.R
	c.G += d.G
	c.B += d.B
	c.Any += d.Any
	c.All += d.All
	c.Pixels += d.Pixels
}

// Shares returns the counts as shares 0..1.
func (c ClipCount) Shares() ClipShares {
	of := func(n int) curve.Share { return curve.Share(n) / curve.Share(max(c.Pixels, 1)) }
	return ClipShares{of(c.R), of(c.G), of(c.B), of(c.Any), of(c.All)}
}

// ClipShares are shares of the frame at a ceiling.
type ClipShares struct {
	R, G, B  curve.Share // of each channel
	Any, All curve.Share // of any channel, of all three
}
