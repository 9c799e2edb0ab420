package detect

import (
	"math/rand/v2"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// reading returns the reading of a curve's narrow-range recordings at 10 bits.
func reading(t testing.TB, name string) curve.Reading {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return curve.Reading{Curve: c, Range: curve.Narrow, Bits: 10}
}

// plane returns an empty plane whose padding is poisoned with the top code.
func plane(w, h int) decode.Plane {
	p := decode.Plane{Stride: w + 8, Width: w, Height: h, Samples: make([]uint16, (w+8)*h)}
	for i := range p.Samples {
		p.Samples[i] = 65535
	}
	return p
}

// randomFrame has random samples and poisoned padding, in every layout.
func randomFrame(rng *rand.Rand, layout decode.Layout, bits, w, h, subX, subY int) *decode.Frame {
	f := &decode.Frame{Layout: layout, Bits: bits}
	cw, ch := (w+subX-1)/subX, (h+subY-1)/subY
	sizes := [3][2]int{{w, h}, {cw, ch}, {cw, ch}}
	for i := range f.Planes {
		if i > 0 && layout == decode.Gray {
			break
		}
		p := plane(sizes[i][0], sizes[i][1])
		for y := range p.Height {
			for x := range p.Width {
				p.Samples[y*p.Stride+x] = uint16(rng.IntN(1 << bits))
			}
		}
		f.Planes[i] = p
	}
	return f
}

// box is an upright square around a point.
func box(at geometry.Point, size float64) geometry.Quad {
	return geometry.Upright(at.X-size/2, at.Y-size/2, size, size)
}
