package still

import (
	"math"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// pixels are the rows of part of a frame at full size.
type pixels struct {
	camera *Camera
	frame  *decode.Frame
	area   geometry.Rect
	codes  [3][]curve.FileCode // R', G' and B' of the row
	row    Row
	marks  []uint8
}

func (c *Camera) wholeOf(f *decode.Frame) *pixels {
	return c.pixelsOf(f, geometry.Rect{W: f.Planes[0].Width, H: f.Planes[0].Height})
}

func (c *Camera) pixelsOf(f *decode.Frame, area geometry.Rect) *pixels {
	p := &pixels{camera: c, frame: f, area: area, marks: make([]uint8, area.W)}
	lights := []*[]float32{&p.row.R, &p.row.G, &p.row.B}
	for k, light := range lights {
		if f.Layout == decode.Gray && k > 0 { // they are all the same
			p.codes[k], *light = p.codes[0], p.row.R
			continue
		}
		p.codes[k], *light = make([]curve.FileCode, area.W), make([]float32, area.W)
	}
	return p
}

func (p *pixels) Size() (width, height int, scale float64) { return p.area.W, p.area.H, 1 }

func (p *pixels) Row(y int) Row {
	p.read(y)
	p.row.Clipped = nil
	for k, light := range [][]float32{p.row.R, p.row.G, p.row.B} {
		if k == 0 || p.frame.Layout != decode.Gray {
			p.camera.lights.of(light, p.codes[k])
		}
		p.mark(k)
	}
	return p.row
}

func (p *pixels) Shown(tone func(light float32) uint8) func(y int, to []uint8) {
	tones := p.camera.lights.tones(tone)
	return func(y int, to []uint8) {
		p.read(y)
		red, green, blue := p.codes[0], p.codes[1], p.codes[2]
		green, blue = green[:len(red)], blue[:len(red)]
		for x := range red {
			*(*[4]uint8)(to[4*x:]) = [4]uint8{tones.of(red[x]), tones.of(green[x]), tones.of(blue[x]), math.MaxUint8}
		}
	}
}

// read makes R', G' and B' of a row.
func (p *pixels) read(y int) {
	if f := p.frame; f.Layout == decode.YCbCr {
		p.decode(y + p.area.Y)
	} else {
		for k := range f.Planes {
			if f.Planes[k].Width > 0 {
				p.copy(k, y+p.area.Y)
			}
		}
	}
	if p.camera.Told != nil {
		p.camera.Told()
	}
}

// copy reads the codes of a row of R', G' or B' as they are.
func (p *pixels) copy(plane, y int) {
	for x, code := range p.frame.Planes[plane].Row(y)[p.area.X:][:p.area.W] {
		p.codes[plane][x] = curve.FileCode(code)
	}
}

// decode makes R', G' and B' of a row of Y'CbCr. A sample of chroma is that of all samples of luma it is
// recorded for.
func (p *pixels) decode(y int) {
	f, chroma := p.frame, &p.camera.chroma
	across := f.SubX()
	down := min(y/f.SubY(), f.Planes[1].Height-1)
	luma, cb, cr := f.Planes[0].Row(y)[p.area.X:][:p.area.W], f.Planes[1].Row(down), f.Planes[2].Row(down)
	red, green, blue := p.codes[0][:len(luma)], p.codes[1][:len(luma)], p.codes[2][:len(luma)]
	for x := 0; x < len(luma); {
		at := (p.area.X + x) / across
		r, g, b := chroma.RGB(0, curve.FileCode(cb[at]), curve.FileCode(cr[at]))
		for end := min((at+1)*across-p.area.X, len(luma)); x < end; x++ {
			v := curve.FileCode(luma[x])
			red[x], green[x], blue[x] = v+r, v+g, v+b
		}
	}
}

// mark marks what clips in one channel of the row.
func (p *pixels) mark(channel int) {
	ceiling := p.camera.ceiling[channel]
	for x, code := range p.codes[channel] {
		if code < ceiling {
			continue
		}
		if p.row.Clipped == nil {
			clear(p.marks)
			p.row.Clipped = p.marks
		}
		p.marks[x] |= 1 << channel
	}
}

// reduced are the rows of a picture, reduced.
type reduced struct {
	pixels *pixels
	boxes  *boxes // one row
	height int
}

// reducedTo returns the rows of a frame, step x step pixels to one.
func reducedTo(p *pixels, step int) Rows {
	if step <= 1 {
		return p
	}
	return &reduced{p, newBoxes(p.area.W, step, step), p.area.H / step}
}

func (r *reduced) Size() (width, height int, scale float64) {
	return r.boxes.width, r.height, float64(r.boxes.side)
}

func (r *reduced) Row(y int) Row {
	b := r.boxes
	b.clear()
	for i := range b.side {
		b.add(i, r.pixels.Row(y*b.side+i))
	}
	s := b.still()
	return Row{s.R, s.G, s.B, s.Clipped}
}
