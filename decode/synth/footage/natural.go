package footage

import (
	"math"
	"math/rand/v2"

	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// Shapes is a part that covers an area with occluding shapes of all sizes, as nature's pictures
// are made: discs and slabs whose sizes follow a power law of exponent 3 have the spectrum and the
// gradients of natural pictures (dead leaves model: Matheron 1968; Lee, Mumford, Huang, "Occlusion
// Models for Natural Images", 2001). Each has a reflectance of its own, log-normal around 12 %,
// slight colour, fine texture and light falling across it.
type Shapes struct{ parts []synth.Part }

// NewShapes covers the area (x, y, w, h), in pixels, with shapes from least to most pixels across.
func NewShapes(x, y, w, h, least, most float64, seed uint64) *Shapes {
	rng := random(seed, 0, 0, forScene)
	s := &Shapes{}
	s.parts = append(s.parts, surface(rng, geometry.Upright(x-9, y-9, w+18, h+18), most))
	// As many as cover the area some four times over, so that hardly any ground shows; the order
	// of sizes is random, so that small ones are hidden as often as large ones.
	for covered := 0.0; covered < 4*w*h; {
		// Inverse of the distribution function of r^-3 between least and most.
		u := rng.Float64()
		r := 1 / math.Sqrt((1-u)/(least*least)+u/(most*most))
		covered += math.Pi * r * r
		s.parts = append(s.parts, shape(rng, x+w*rng.Float64(), y+h*rng.Float64(), r))
	}
	return s
}

// Paint implements synth.Part.
func (s *Shapes) Paint(r synth.Row) {
	for _, p := range s.parts {
		p.Paint(r)
	}
}

// shape returns a disc or a slab of radius r around a point.
func shape(rng *rand.Rand, x, y, r float64) synth.Part {
	if rng.IntN(2) == 0 {
		c := geometry.Point{X: x, Y: y}
		return synth.Capsule{From: c, To: c, Radius: r, Light: reflectance(rng), Soft: 1}
	}
	a, long := rng.Float64()*math.Pi, r*(0.7+rng.Float64())
	dx, dy := long*math.Cos(a), long*math.Sin(a)
	ex, ey := -r*0.7*math.Sin(a), r*0.7*math.Cos(a)
	q := geometry.Quad{{X: x - dx - ex, Y: y - dy - ey}, {X: x + dx - ex, Y: y + dy - ey},
		{X: x + dx + ex, Y: y + dy + ey}, {X: x - dx + ex, Y: y - dy + ey}}
	return surface(rng, q, r)
}

func surface(rng *rand.Rand, q geometry.Quad, size float64) synth.Part {
	t := synth.Texture{CellX: max(size/2, 2), CellY: max(size/3, 2), Octaves: 5,
		Contrast: 0.05 + 0.3*rng.Float64(), Seed: rng.Uint64()}
	return synth.NewSurface(q, reflectance(rng), t)
}

// reflectance draws a natural reflectance with slight colour.
func reflectance(rng *rand.Rand) synth.Light {
	level := 0.12 * math.Exp(0.8*rng.NormFloat64())
	level = min(max(level, 0.015), 0.85)
	warm := 0.18 * rng.NormFloat64()
	return synth.Light{float32(level * math.Exp(warm)), float32(level),
		float32(level * math.Exp(-warm+0.1*rng.NormFloat64()))}
}

// A Glow is light falling over the frame: from 2^Bright at (X, Y) to 2^Dark a Reach away, in pixels.
type Glow struct{ X, Y, Reach, Bright, Dark float64 }

// Paint implements synth.Part.
func (g Glow) Paint(r synth.Row) {
	for i := range r.R {
		d := math.Hypot(r.X+float64(i)-g.X, r.Y-g.Y) / g.Reach
		k := float32(math.Exp2(g.Dark + (g.Bright-g.Dark)*math.Exp(-d*d)))
		r.R[i] *= k
		r.G[i] *= k
		r.B[i] *= k
	}
}
