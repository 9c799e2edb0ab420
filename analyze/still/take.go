package still

import (
	"stopledger/analyze/cells"
	"stopledger/analyze/internal/aside"
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

// Frame takes a whole frame in all ways but a strip. What is counted is counted beside what is averaged. The frame is
// kept for Full: Release lets it go.
func (c *Camera) Frame(f *decode.Frame) *Stills {
	p := c.wholeOf(f)
	width, height, _ := p.Size()
	s := &Stills{Full: reducedTo(p, p.step(fullWidth)), release: f.Release}
	side := min(max(upward(width, gridWidth), leastStep), width, height)
	grid := newGrid(width, height, side)
	s.Grid = grid
	var counting aside.Task
	counting.Run(func() {
		s.Waveform, s.Channels = c.Waveform(f), c.channels(f)
		c.luma(grid, cells.Luma(f, c.matrix))
	})
	defer counting.End()
	var blocks *Still
	s.Frame, blocks = p.averaged(p.step(Width), side)
	s.Frame.T = curve.Seconds(f.Time)
	grid.R, grid.G, grid.B, grid.Clipped, grid.Light = blocks.R, blocks.G, blocks.B, blocks.Clipped, c.codes()
	counting.Wait()
	f.Keep()
	return s
}

// averaged takes a frame reduced by two whole numbers.
func (p *pixels) averaged(step, side int) (frame, blocks *Still) {
	width, height, _ := p.Size()
	fine, coarse := newBoxes(width, height, step), newBoxes(width, height, side)
	nested := side%step == 0 // blocks are of whole pixels of the still
	for y := range height {
		row := p.Row(y)
		fine.add(y, row)
		if !nested {
			coarse.add(y, row)
		}
	}
	if frame = fine.still(); nested {
		return frame, Mean(frame, side/step)
	}
	return frame, coarse.still()
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
