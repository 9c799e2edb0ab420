package cells

import (
	"stopledger/curve"
	"stopledger/decode"
)

// Luma returns the luma plane of a frame. Y'CbCr and gray frames have it; for an R'G'B' frame it
// is made with the matrix's weights, in memory of its own.
func Luma(f *decode.Frame, m curve.Matrix) decode.Plane {
	l := lumaPlanes{matrix: m}
	return l.of(f)
}

// lumaPlanes gives the luma of frames and uses the memory of planes that were given back again.
type lumaPlanes struct {
	matrix curve.Matrix
	spare  [][]uint16
}

func (l *lumaPlanes) of(f *decode.Frame) decode.Plane {
	if f.Layout != decode.RGB {
		return f.Planes[0]
	}
	p := decode.Plane{Width: f.Planes[0].Width, Height: f.Planes[0].Height, Stride: f.Planes[0].Width}
	if n := len(l.spare); n > 0 {
		p.Samples, l.spare = l.spare[n-1], l.spare[:n-1]
	} else {
		p.Samples = make([]uint16, p.Width*p.Height)
	}
	l.fill(f, p)
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

// giveBack takes the plane that was made for a frame.
func (l *lumaPlanes) giveBack(f *decode.Frame, p decode.Plane) {
	if f.Layout == decode.RGB {
		l.spare = append(l.spare, p.Samples)
	}
}
