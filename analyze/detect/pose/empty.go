package pose

import (
	"math"

	"stopledger/decode/geometry"
)

// emptyKinds are scenes in which there is neither card nor chart nor face.
var emptyKinds = []struct {
	name  string
	build func(s *Scene)
}{
	{"sky", (*Scene).buildSky},
	{"night", (*Scene).buildNight},
	{"wall", (*Scene).buildWall},
	{"people", (*Scene).buildPeople},
	{"texture", (*Scene).buildTexture},
	{"bricks", (*Scene).buildBricks},
	{"room", func(s *Scene) { s.Furnish(30) }},
}

// Empty is a recorded EmptyScene.
func Empty(seed uint64) Posed {
	s, p := EmptyScene(seed)
	return s.Record(p)
}

// EmptyScene is a scene of one of the kinds above, by turns.
func EmptyScene(seed uint64) (*Scene, Posed) {
	s := NewScene(1280, 720, seed+100000)
	emptyKinds[seed%uint64(len(emptyKinds))].build(s)
	s.Camera()
	return s, newPosed(seed)
}

// Fill gives every pixel the colour of its place.
func (s *Scene) Fill(ink func(x, y float64) [3]float64) {
	for y := range s.H {
		for x := range s.W {
			c := ink(float64(x), float64(y))
			for k := range c {
				s.Pix[y*s.W+x][k] = float32(c[k])
			}
		}
	}
}

// buildSky is a graded blue sky with clouds over a dark, rough ground.
func (s *Scene) buildSky() {
	clouds, ground := newValueNoise(s, s.between(80, 300)), newValueNoise(s, s.between(5, 30))
	cover, horizon := s.between(-0.3, 0.6), s.between(0.5, 0.95)*float64(s.H)
	s.Fill(func(x, y float64) [3]float64 {
		if edge := horizon + 20*ground.at(x/4, 0); y > edge {
			g := 0.08 * math.Exp2(ground.at(x, y))
			return [3]float64{g, 1.2 * g, 0.7 * g}
		}
		t := y / horizon
		white := math.Min(math.Max(clouds.at(x, 2*y)+cover, 0), 1)
		blue := [3]float64{0.25 + 0.4*t, 0.4 + 0.35*t, 0.9}
		for k := range blue {
			blue[k] = blue[k]*(1-white) + 1.5*white
		}
		return blue
	})
}

// buildNight is darkness with lamps and lit windows, most of them clipped or coloured.
func (s *Scene) buildNight() {
	n := newValueNoise(s, 60)
	s.Fill(func(x, y float64) [3]float64 {
		g := 0.004 * math.Exp2(2*n.at(x, y))
		return [3]float64{g, g, 1.3 * g}
	})
	for range 4 + s.rng.IntN(20) {
		at := geometry.Pt(s.between(0, float64(s.W)), s.between(0, float64(s.H)))
		l := math.Exp2(s.between(-3, 5))
		warm := [3]float64{l * 1.3, l, l * 0.45}
		if s.rng.IntN(2) == 0 {
			s.AddEllipse(at, s.between(4, 40), warm)
			continue
		}
		w := s.between(15, 90)
		q := Place(at, w, w*s.between(0.8, 1.8), s.between(-0.1, 0.1), 0, 0, 4)
		s.Paint(q, func(p geometry.Point) ([3]float64, bool) { return warm, q.Contains(p) })
	}
}

// buildWall is a painted wall in slanting light, with a door and pictures in colour.
func (s *Scene) buildWall() {
	c := s.colour(0.15, 0.8, 0.15)
	rough := newValueNoise(s, s.between(3, 15))
	amount, fall := s.between(0, 0.1), s.between(0, 1.5)
	s.Fill(func(x, y float64) [3]float64 {
		g := math.Exp2(amount*rough.at(x, y) + fall*x/float64(s.W))
		return [3]float64{c[0] * g, c[1] * g, c[2] * g}
	})
	for range s.rng.IntN(4) {
		at := geometry.Pt(s.between(0, float64(s.W)), s.between(0, float64(s.H)))
		w := s.between(60, 300)
		ink := s.vivid()
		q := Place(at, w, w*s.between(0.6, 2.2), 0, s.between(0, 0.4), math.Pi/2, 5)
		s.Paint(q, func(p geometry.Point) ([3]float64, bool) { return ink, q.Contains(p) })
	}
}

// buildPeople is round bodies and heads of skin and cloth before a rough ground.
func (s *Scene) buildPeople() {
	s.Furnish(0)
	for range 2 + s.rng.IntN(6) {
		at := geometry.Pt(s.between(0, float64(s.W)), s.between(0.3, 1)*float64(s.H))
		size := s.between(0.1, 0.5) * float64(s.H)
		s.AddEllipse(at, 2*size, s.colour(0.03, 0.7, 0.8))
		l := s.between(0.06, 0.45)
		s.AddEllipse(at.Add(geometry.Pt(0, -size)), 0.7*size, [3]float64{1.4 * l, l, 0.72 * l})
	}
}

// buildTexture is leaves, gravel or cloth: rough at every size.
func (s *Scene) buildTexture() {
	a, b := newValueNoise(s, s.between(2, 10)), newValueNoise(s, s.between(20, 80))
	one, two := s.colour(0.05, 0.4, 0.5), s.colour(0.05, 0.4, 0.5)
	s.Fill(func(x, y float64) [3]float64 {
		t := 0.5 + 0.5*math.Tanh(2*b.at(x, y))
		g := math.Exp2(1.2 * a.at(x, y))
		return [3]float64{g * (one[0]*t + two[0]*(1-t)), g * (one[1]*t + two[1]*(1-t)), g * (one[2]*t + two[2]*(1-t))}
	})
}

// buildBricks is a regular grid of like areas: bricks, tiles, keys, the windows of a house, in
// neutral and random colours.
func (s *Scene) buildBricks() {
	w, h := s.between(12, 90), s.between(12, 60)
	gap, shift := s.between(0.05, 0.3), float64(s.rng.IntN(2))*0.5
	spread := s.between(0, 1)
	var cells [256][3]float64
	for i := range cells {
		cells[i] = s.colour(0.05, 0.7, spread)
	}
	joint := s.colour(0.02, 0.5, 0.1)
	t := s.between(-0.3, 0.3)
	s.Fill(func(x, y float64) [3]float64 {
		x, y = x*math.Cos(t)+y*math.Sin(t)+1000, -x*math.Sin(t)+y*math.Cos(t)+1000
		j := math.Floor(y / h)
		x += shift * w * math.Mod(j, 2)
		i := math.Floor(x / w)
		if x-i*w < gap*w || y-j*h < gap*h {
			return joint
		}
		return cells[(int(i)*7+int(j)*13)&255]
	})
}
