package still

import (
	"math"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// mostWidth is how wide a whole frame is taken at most, in pixels: frames of up to 4096 pixels across
// are taken pixel by pixel.
const mostWidth = 4096

// A Camera takes pictures of a clip's frames.
type Camera struct {
	Told func() // called after each row of a picture; nil for nobody

	table   *curve.Table
	matrix  curve.Matrix
	chroma  curve.Chroma
	ceiling [3]curve.FileCode
}

// NewCamera returns a camera for frames whose codes mean what the table says. ceiling are the
// file codes from which R, G and B count as clipped, +Inf where they do not clip.
func NewCamera(table *curve.Table, m curve.Matrix, ceiling [3]curve.FileCode) *Camera {
	return &Camera{table: table, matrix: m, chroma: table.Reading.Chroma(m), ceiling: ceiling}
}

// Whole takes a whole frame, reduced by a whole number to mostWidth pixels across at most.
func (c *Camera) Whole(f *decode.Frame) *Still { return c.Reduced(f, mostWidth) }

// Reduced takes a whole frame, reduced by a whole number to so many pixels across at most.
func (c *Camera) Reduced(f *decode.Frame, most int) *Still {
	luma := f.Planes[0]
	step := (luma.Width + most - 1) / most
	return c.take(f, geometry.Rect{W: luma.Width, H: luma.Height}, step)
}

// Area takes part of a frame at full size. The area lies within the frame.
func (c *Camera) Area(f *decode.Frame, area geometry.Rect) *Still { return c.take(f, area, 1) }

// take takes part of a frame, step x step pixels to one.
func (c *Camera) take(f *decode.Frame, area geometry.Rect, step int) *Still {
	s := &Still{Width: area.W / step, Height: area.H / step, T: curve.Seconds(f.Time),
		Scale: float64(step), X: area.X, Y: area.Y}
	n := s.Width * s.Height
	s.R, s.G, s.B = make([]float32, n), make([]float32, n), make([]float32, n)
	s.Code, s.Clipped = make([]uint16, n), make([]uint8, n)
	for y := range s.Height {
		for x := range s.Width {
			c.block(f, s, y*s.Width+x, area.X+x*step, area.Y+y*step)
		}
		if c.Told != nil {
			c.Told()
		}
	}
	return s
}

// block makes one pixel of a still from the block of the frame whose corner is (x, y): the mean of
// its light and of its codes, and the channels that clip anywhere in it.
func (c *Camera) block(f *decode.Frame, s *Still, at, x, y int) {
	var light [3]float64
	var codes float64
	step := int(s.Scale)
	for dy := range step {
		for dx := range step {
			luma, rgb := c.pixel(f, x+dx, y+dy)
			codes += float64(luma)
			for i, v := range rgb {
				light[i] += float64(c.table.LightAt(v))
				if v >= c.ceiling[i] {
					s.Clipped[at] |= 1 << i
				}
			}
		}
	}
	pixels := s.Scale * s.Scale
	s.R[at], s.G[at], s.B[at] = float32(light[0]/pixels), float32(light[1]/pixels), float32(light[2]/pixels)
	s.Code[at] = uint16(math.Round(float64(c.table.Reading.Code(curve.FileCode(codes / pixels)))))
}

// pixel returns luma and R', G', B' of one pixel as file codes.
func (c *Camera) pixel(f *decode.Frame, x, y int) (luma curve.FileCode, rgb [3]curve.FileCode) {
	code := func(plane, x, y int) curve.FileCode {
		p := &f.Planes[plane]
		return curve.FileCode(p.Samples[y*p.Stride+x])
	}
	first := code(0, x, y)
	switch f.Layout {
	case decode.Gray:
		return first, [3]curve.FileCode{first, first, first}
	case decode.RGB:
		rgb = [3]curve.FileCode{first, code(1, x, y), code(2, x, y)}
		k := c.matrix
		return curve.FileCode(k.Kr)*rgb[0] + curve.FileCode(k.Kg())*rgb[1] + curve.FileCode(k.Kb)*rgb[2], rgb
	}
	cx, cy := min(x/f.SubX(), f.Planes[1].Width-1), min(y/f.SubY(), f.Planes[1].Height-1)
	rgb[0], rgb[1], rgb[2] = c.chroma.RGB(first, code(1, cx, cy), code(2, cx, cy))
	return first, rgb
}
