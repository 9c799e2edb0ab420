package synth

import (
	"math"
	"math/rand/v2"

	"stopledger/decode/geometry"
)

// A Lamp is a small disc of light with a halo, added to what is there.
type Lamp struct {
	X, Y, Radius float64 // pixels
	Light        Light   // of the disc
	Halo         float64 // share of the lamp's light that the halo has at the edge
}

// haloReach is how many radii a halo goes.
const haloReach = 14

// Paint implements Part.
func (l Lamp) Paint(r Row) {
	reach := l.Radius * haloReach
	if l.Halo == 0 {
		reach = l.Radius + 1
	}
	dy := r.Y - l.Y
	if math.Abs(dy) > reach {
		return
	}
	from, to := r.span(l.X-reach, l.X+reach)
	for i := from; i < to; i++ {
		d := math.Hypot(r.X+float64(i)-l.X, dy)
		v := min(max(l.Radius+0.5-d, 0), 1)
		if fade := 1 - d/reach; fade > 0 && l.Halo > 0 {
			v += l.Halo * fade * fade / (1 + sq(d/l.Radius))
		}
		r.R[i] += l.Light[0] * float32(v)
		r.G[i] += l.Light[1] * float32(v)
		r.B[i] += l.Light[2] * float32(v)
	}
}

// Glints are small sharp lights strewn over an area: wet cobbles, ripples, cut glass.
type Glints struct {
	points  []glint
	light   Light
	twinkle float64
}

type glint struct{ x, y, strength, phase float64 }

// NewGlints strews n glints over an upright area. They come and go twinkle times a second; 0
// leaves them as they are.
func NewGlints(area geometry.Quad, n int, l Light, twinkle float64, seed uint64) *Glints {
	rng := rand.New(rand.NewPCG(seed, 0x676c696e74))
	g := &Glints{light: l, twinkle: twinkle}
	from, to := area.Extent()
	for range n {
		g.points = append(g.points, glint{
			from.X + (to.X-from.X)*rng.Float64(), from.Y + (to.Y-from.Y)*rng.Float64(),
			math.Exp2(-4 * rng.Float64()), 2 * math.Pi * rng.Float64(),
		})
	}
	return g
}

func (g *Glints) still() bool { return g.twinkle == 0 }

// glintSpread is the standard deviation of a glint's picture in pixels.
const glintSpread = 0.8

// Paint implements Part.
func (g *Glints) Paint(r Row) {
	for _, p := range g.points {
		dy := r.Y - p.y
		if math.Abs(dy) > 4*glintSpread {
			continue
		}
		v := p.strength * math.Exp(-sq(dy/glintSpread)/2)
		if g.twinkle > 0 {
			v *= sq(0.5 + 0.5*math.Sin(2*math.Pi*g.twinkle*r.T+p.phase))
		}
		from, to := r.span(p.x-4*glintSpread, p.x+4*glintSpread)
		for i := from; i < to; i++ {
			w := float32(v * math.Exp(-sq((r.X+float64(i)-p.x)/glintSpread)/2))
			r.R[i] += g.light[0] * w
			r.G[i] += g.light[1] * w
			r.B[i] += g.light[2] * w
		}
	}
}

// A Pool is a soft oval of lamp light: it multiplies what is there, so that cards and charts
// painted before it stand in its light. Far away the factor is 1, at its centre 1 + Gain.
type Pool struct {
	X, Y, RadiusX, RadiusY float64 // pixels
	Gain                   float64 // light added at the centre, as a share of what is there
	Colour                 Light   // zero meaning white
}

// Paint implements Part.
func (p Pool) Paint(r Row) {
	colour := p.Colour
	if colour == (Light{}) {
		colour = Light{1, 1, 1}
	}
	dy := sq((r.Y - p.Y) / p.RadiusY)
	if dy > 9 {
		return
	}
	from, to := r.span(p.X-3*p.RadiusX, p.X+3*p.RadiusX)
	for i := from; i < to; i++ {
		d := sq((r.X+float64(i)-p.X)/p.RadiusX) + dy
		if d >= 9 {
			continue
		}
		// A bell without exp, ending at 3 radii.
		v := float32(p.Gain * sq(1-d/9) / (1 + d))
		r.R[i] *= 1 + v*colour[0]
		r.G[i] *= 1 + v*colour[1]
		r.B[i] *= 1 + v*colour[2]
	}
}
