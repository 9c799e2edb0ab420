package footage

import (
	"fmt"
	"image"

	"stopledger/curve"
	"stopledger/decode/synth"
)

// An Overlay is laid over the developed picture, as codes.
type Overlay interface {
	// lay draws over the codes of a frame; perCode is file codes to one 10-bit code.
	lay(m *Image, frame int, perCode float32)
}

// A Matte blacks out so many rows at the top and the bottom.
type Matte struct {
	Rows int
	Code curve.Code // 64 for video black, 0 or another
}

func (o Matte) lay(m *Image, _ int, perCode float32) {
	fill(m, image.Rect(0, 0, m.Width, o.Rows), float32(o.Code)*perCode)
	fill(m, image.Rect(0, m.Height-o.Rows, m.Width, m.Height), float32(o.Code)*perCode)
}

// A Logo is a square with a hole, of one level, fixed in the frame.
type Logo struct {
	X, Y, Size int
	Code       curve.Code // 940 for video white
}

func (o Logo) lay(m *Image, _ int, perCode float32) {
	edge := o.Size / 4
	for _, r := range []image.Rectangle{
		image.Rect(o.X, o.Y, o.X+o.Size, o.Y+edge), image.Rect(o.X, o.Y+o.Size-edge, o.X+o.Size, o.Y+o.Size),
		image.Rect(o.X, o.Y, o.X+edge, o.Y+o.Size), image.Rect(o.X+o.Size-edge, o.Y, o.X+o.Size, o.Y+o.Size),
	} {
		fill(m, r, float32(o.Code)*perCode)
	}
}

// Text is a running frame number burned in, in digits of 3 x 5 dots.
type Text struct {
	X, Y, Dot int
	Code      curve.Code
}

// digits are the dots of 0..9, three a row, five rows.
var digits = [10]string{"777777077707777", "010010010010010", "707007777700777", "707007077007777", "707707777007007",
	"777700777007777", "777700777707777", "777007007007007", "777707777707777", "777707777007777"}

func (o Text) lay(m *Image, frame int, perCode float32) {
	for i, d := range fmt.Sprintf("%04d", frame) {
		for k, dot := range digits[d-'0'] {
			if dot != '0' {
				x, y := o.X+(4*i+k%3)*o.Dot, o.Y+k/3*o.Dot
				fill(m, image.Rect(x, y, x+o.Dot, y+o.Dot), float32(o.Code)*perCode)
			}
		}
	}
}

func fill(m *Image, r image.Rectangle, code float32) {
	r = r.Intersect(image.Rect(0, 0, m.Width, m.Height))
	for c := range m.Planes {
		for y := r.Min.Y; y < r.Max.Y; y++ {
			row := m.Row(c, y)[r.Min.X:r.Max.X]
			for x := range row {
				row[x] = code
			}
		}
	}
}

// coarsen leaves the bits of an 8-bit picture in a deeper file.
func coarsen(p synth.Planes) {
	mask := ^uint16(1<<(p.Bits-8) - 1)
	for i := range p.Samples {
		for k := range p.Samples[i] {
			p.Samples[i][k] &= mask
		}
	}
}

// weave takes the odd rows of each plane from a later field.
func weave(p, later synth.Planes) {
	for i := range p.Samples {
		for y := 1; y < p.Height[i]; y += 2 {
			copy(p.Row(i, y), later.Row(i, y))
		}
	}
}
