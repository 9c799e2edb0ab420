package synth

import (
	"math"

	"stopledger/decode/geometry"
	"stopledger/decode/synth/random"
)

// A Texture is smooth random relief, given as light around 1: value noise on a lattice, each
// octave of half the size and half the strength.
type Texture struct {
	CellX, CellY float64 // pixels of the coarsest octave
	Octaves      int     // each of half the size and strength
	Contrast     float64 // largest departure from 1, about
	Seed         uint64  // another pattern of the same kind
}

// lattice returns a random value in -1..1 for a lattice point.
func lattice(seed uint64, x, y int) float32 {
	h := random.Mix(seed ^ uint64(uint32(x))<<32 ^ uint64(uint32(y)))
	return float32(int32(h>>32)) / (1 << 31)
}

func smooth(t float32) float32 { return t * t * (3 - 2*t) }

// relief adds amplitude x noise to dst, whose samples lie at x, x+step, ... on row y of the
// lattice of unit cells.
func relief(dst []float32, seed uint64, x, step, y float64, amplitude float32) {
	iy := math.Floor(y)
	fy := smooth(float32(y - iy))
	cell := math.MinInt
	var left, right float32
	for i := range dst {
		at := x + float64(i)*step
		ix := int(math.Floor(at))
		if ix != cell {
			cell = ix
			left, right = column(seed, ix, int(iy), fy), column(seed, ix+1, int(iy), fy)
		}
		dst[i] += amplitude * (left + (right-left)*smooth(float32(at-float64(ix))))
	}
}

func column(seed uint64, x, y int, f float32) float32 {
	a, b := lattice(seed, x, y), lattice(seed, x, y+1)
	return a + (b-a)*f
}

// row returns the texture along n samples from (x, y), a pixel stepX apart across and the rows
// stepY apart down, in units of the texture's pixels. Octaves too fine for that are left out, so
// that nothing shimmers.
func (t Texture) row(n int, x, y, stepX, stepY float64) []float32 {
	out := make([]float32, n)
	for i := range out {
		out[i] = 1
	}
	amplitude := t.Contrast * 0.6 // octaves add up to under twice the first
	cx, cy := t.CellX, t.CellY
	for o := range t.Octaves {
		if shown := detail(max(stepX/cx, stepY/cy)); shown > 0 {
			relief(out, t.Seed+uint64(o), x/cx, stepX/cx, y/cy, float32(amplitude*shown))
		}
		amplitude, cx, cy = amplitude/2, cx/2, cy/2
	}
	return out
}

// detail fades an octave out between 1/4 and 1/2 cell a pixel.
func detail(cellsPerPixel float64) float64 {
	return min(max(2-4*cellsPerPixel, 0), 1)
}

// A Surface is a flat quad with a texture, seen straight on.
type Surface struct {
	edges    geometry.Edges
	light    Light
	texture  Texture
	from, to geometry.Point // bounds
}

// NewSurface returns a textured quad.
func NewSurface(q geometry.Quad, l Light, t Texture) *Surface {
	s := &Surface{edges: q.Edges(), light: l, texture: t}
	s.from, s.to = q.Extent()
	return s
}

// Paint implements Part.
func (s *Surface) Paint(r Row) {
	if r.Y < s.from.Y-1 || r.Y > s.to.Y+1 {
		return
	}
	from, to := r.span(s.from.X-1, s.to.X+1)
	if from >= to {
		return
	}
	grain := s.texture.row(to-from, r.X+float64(from), r.Y, 1, 1)
	for i := from; i < to; i++ {
		if c := cover(&s.edges, r.X+float64(i), r.Y, 1); c > 0 {
			r.blend(i, s.light.Times(float64(max(grain[i-from], 0))), float32(c))
		}
	}
}
