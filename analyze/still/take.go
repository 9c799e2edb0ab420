package still

import (
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

const (
	// Width is how wide a whole frame is taken as a still at most, in pixels.
	Width = 960
	// fullWidth is how wide it is at full size: frames of up to 4096 pixels across have all their pixels.
	fullWidth = 4096
)

// Frame takes a whole frame in all ways but a strip, in one pass. The frame is kept for Full: Release lets it go.
func (c *Camera) Frame(f *decode.Frame) *Stills {
	p := c.wholeOf(f)
	width, height, _ := p.Size()
	step := p.step(Width)
	side := min(max(upward(width, gridWidth), leastStep), width, height)
	frame, blocks, channels := newBoxes(width, height, step), newBoxes(width, height, side), c.newChannels(f)
	nested := side%step == 0 // blocks are of whole pixels of the still
	for y := range height {
		row := p.Row(y)
		frame.add(y, row)
		if !nested {
			blocks.add(y, row)
		}
		channels.add(y, p.codes)
	}
	f.Keep()
	s := frame.still()
	s.T = curve.Seconds(f.Time)
	grid := blocks.still()
	if nested {
		grid = Mean(s, side/step)
	}
	return &Stills{Frame: s, Full: reducedTo(p, p.step(fullWidth)),
		Waveform: c.Waveform(f), Channels: channels.of, Grid: c.grid(f, grid), release: f.Release}
}

// Reduced takes a whole frame, reduced by a whole number to so many pixels across at most.
func (c *Camera) Reduced(f *decode.Frame, most int) *Still {
	p := c.wholeOf(f)
	return taken(p, p.step(most))
}

// Area takes part of a frame at full size. The area lies within the frame.
func (c *Camera) Area(f *decode.Frame, area geometry.Rect) *Still {
	return taken(c.pixelsOf(f, area), 1)
}

// Part takes part of a frame that was cut out of it, at that area.
func (c *Camera) Part(f *decode.Frame, at geometry.Rect) *Still {
	s := c.Area(f, geometry.Rect{W: at.W, H: at.H})
	s.X, s.Y = at.X, at.Y
	return s
}

// taken takes part of a frame, step x step pixels to one.
func taken(p *pixels, step int) *Still {
	s := Mean(p, step)
	s.T, s.X, s.Y = curve.Seconds(p.frame.Time), p.area.X, p.area.Y
	return s
}

// step is by how much a frame is reduced to so many pixels across at most.
func (p *pixels) step(most int) int { return min(upward(p.area.W, most), p.area.H) }

// upward divides and rounds up.
func upward(n, by int) int { return (n + by - 1) / by }
