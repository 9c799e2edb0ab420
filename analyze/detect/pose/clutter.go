package pose

import (
	"math"

	"stopledger/decode/geometry"
)

// Furnish fills the scene with a background: a graded wall or floor, texture, and things of
// many colours, of which none is neutral with straight sides.
func (s *Scene) Furnish(things int) {
	base := s.colour(0.1, 0.5, 0.4)
	other := s.colour(0.05, 0.6, 0.4)
	n := newValueNoise(s, s.between(6, 60))
	rough := s.between(0, 0.4)
	for y := range s.H {
		for x := range s.W {
			t := float64(y) / float64(s.H)
			g := math.Exp2(rough * n.at(float64(x), float64(y)))
			for k := range 3 {
				s.Pix[y*s.W+x][k] = float32((base[k]*(1-t) + other[k]*t) * g)
			}
		}
	}
	for range things {
		s.addThing()
	}
}

// colour returns a reflectance with a luminance in a range and chroma up to spread stops a
// channel.
func (s *Scene) colour(low, high, spread float64) [3]float64 {
	l := low * math.Pow(high/low, s.rng.Float64())
	var c [3]float64
	for k := range c {
		c[k] = l * math.Exp2(s.between(-spread, spread))
	}
	return c
}

// vivid returns a colour that is at least 1.3 stops from neutral, in BT.709.
func (s *Scene) vivid() [3]float64 {
	for {
		c := s.colour(0.03, 0.7, 1.5)
		if math.Max(math.Abs(math.Log2(c[0]/c[1])), math.Abs(math.Log2(c[2]/c[1]))) > 1.3 {
			return c
		}
	}
}

func (s *Scene) addThing() {
	size := s.between(0.02, 0.3) * float64(s.H)
	at := geometry.Pt(s.between(0, float64(s.W)), s.between(0, float64(s.H)))
	switch s.rng.IntN(3) {
	case 0:
		s.addBox(at, size)
	case 1:
		s.AddEllipse(at, size, s.colour(0.02, 0.9, 0.6))
	default:
		s.addPatterned(at, size)
	}
}

// addBox is a coloured rectangle seen at an angle.
func (s *Scene) addBox(at geometry.Point, size float64) {
	q := Place(at, size*s.between(0.5, 2), size, s.between(0, 7), s.between(0, 0.9), s.between(0, 7), 4)
	c := s.vivid()
	s.Paint(q, func(p geometry.Point) ([3]float64, bool) { return c, q.Contains(p) })
}

// AddEllipse adds a shaded ellipse, its long axis of size pixels.
func (s *Scene) AddEllipse(at geometry.Point, size float64, c [3]float64) {
	a, b := size/2, size/2*s.between(0.5, 1)
	t := s.between(0, 7)
	ct, st := math.Cos(t), math.Sin(t)
	shade := s.between(0, 0.5)
	s.Paint(Box(at, size), func(p geometry.Point) ([3]float64, bool) {
		d := p.Sub(at)
		x, y := (d.X*ct+d.Y*st)/a, (-d.X*st+d.Y*ct)/b
		g := math.Exp2(shade * x)
		return [3]float64{c[0] * g, c[1] * g, c[2] * g}, x*x+y*y < 1
	})
}

// addPatterned is a striped or chequered cloth.
func (s *Scene) addPatterned(at geometry.Point, size float64) {
	q := Place(at, size, size, s.between(0, 7), 0, 0, 4)
	h, _ := geometry.FitHomography([]geometry.Point{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1}, {X: 0, Y: 1}}, q[:])
	inverse := h.Inverse()
	a, b := s.vivid(), s.vivid()
	n := s.between(2, 9)
	stripes := s.rng.IntN(2) == 0
	s.Paint(q, func(p geometry.Point) ([3]float64, bool) {
		if !q.Contains(p) {
			return a, false
		}
		at := inverse.At(p.X, p.Y)
		u, v := at.X, at.Y
		on := int(u*n)%2 == 0
		if !stripes && int(v*n)%2 == 0 {
			on = !on
		}
		if on {
			return a, true
		}
		return b, true
	})
}

// Box returns an upright square around a point.
func Box(at geometry.Point, size float64) geometry.Quad {
	h := size / 2
	return geometry.Quad{{X: at.X - h, Y: at.Y - h}, {X: at.X + h, Y: at.Y - h},
		{X: at.X + h, Y: at.Y + h}, {X: at.X - h, Y: at.Y + h}}
}

// valueNoise is smooth noise of about -1..1 over the frame, three octaves.
type valueNoise struct {
	grid  [64][64]float64
	scale float64
}

func newValueNoise(s *Scene, scale float64) *valueNoise {
	n := &valueNoise{scale: scale}
	for y := range n.grid {
		for x := range n.grid[y] {
			n.grid[y][x] = s.between(-1, 1)
		}
	}
	return n
}

func (n *valueNoise) at(x, y float64) float64 {
	x, y = x/n.scale, y/n.scale
	return 0.6*n.one(x, y) + 0.3*n.one(2*x, 2*y+7) + 0.2*n.one(4*x+3, 4*y)
}

func (n *valueNoise) one(x, y float64) float64 {
	xf, yf := math.Floor(x), math.Floor(y)
	fx, fy := x-xf, y-yf
	fx, fy = fx*fx*(3-2*fx), fy*fy*(3-2*fy)
	i, j := int(xf)&63, int(yf)&63
	k, l := (i+1)&63, (j+1)&63
	return (n.grid[j][i]*(1-fx)+n.grid[j][k]*fx)*(1-fy) + (n.grid[l][i]*(1-fx)+n.grid[l][k]*fx)*fy
}
