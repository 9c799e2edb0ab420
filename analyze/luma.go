package analyze

import (
	"stopledger/curve"
	"stopledger/decode"
)

// lumaPlanes gives the luma of frames. Y'CbCr frames have it; for R'G'B' frames it is made with
// the matrix's weights, once a frame, and kept while the frame is in use.
type lumaPlanes struct {
	matrix curve.Matrix
	made   map[*decode.Frame]decode.Plane
	spare  [][]uint16
}

func (l *lumaPlanes) of(f *decode.Frame) decode.Plane {
	if f.Layout != decode.RGB {
		return f.Planes[0]
	}
	if p, ok := l.made[f]; ok {
		return p
	}
	p := decode.Plane{Width: f.Planes[0].Width, Height: f.Planes[0].Height, Stride: f.Planes[0].Width}
	if n := len(l.spare); n > 0 {
		p.Samples, l.spare = l.spare[n-1], l.spare[:n-1]
	} else {
		p.Samples = make([]uint16, p.Width*p.Height)
	}
	l.fill(f, p)
	if l.made == nil {
		l.made = map[*decode.Frame]decode.Plane{}
	}
	l.made[f] = p
	return p
}

// fill writes Kr R' + Kg G' + Kb B', rounded.
func (l *lumaPlanes) fill(f *decode.Frame, p decode.Plane) {
	const one = 1 << 16
	kr, kb := uint32(l.matrix.Kr*one+0.5), uint32(l.matrix.Kb*one+0.5)
	kg := uint32(one) - kr - kb
	for y := range p.Height {
		out := p.Row(y)
		red, green, blue := f.Planes[0].Row(y), f.Planes[1].Row(y), f.Planes[2].Row(y)
		for x := range out {
			sum := uint64(kr)*uint64(red[x]) + uint64(kg)*uint64(green[x]) + uint64(kb)*uint64(blue[x])
			out[x] = uint16((sum + one/2) >> 16)
		}
	}
}

// forget gives back the plane made for f, unless it is also in use as keep.
func (l *lumaPlanes) forget(f, keep *decode.Frame) {
	if p, ok := l.made[f]; ok && f != keep {
		delete(l.made, f)
		l.spare = append(l.spare, p.Samples)
	}
}
