package detect

import (
	"math"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// A posed scene is a frame with the truth of what is in it.
type posed struct {
	seed    uint64
	frame   *decode.Frame
	reading curve.Reading
	matrix  curve.Matrix
	corners geometry.Quad // of the chart's grid or of the card
	stops   float64       // placement where it is measured
	sizePx  float64       // shorter projected side
}

// camera gives a scene a recording: placement, light, white balance, primaries, noise, lens.
func (s *scene) camera() {
	s.stops = s.between(-2, 3)
	s.balance = [3]float64{s.between(-0.15, 0.15), 0, s.between(-0.2, 0.2)}
	s.wide = s.rng.IntN(2) == 0
	s.greySNR = math.Pow(10, s.between(1.2, 2.2))
	s.floorStops = s.between(-8, -5)
	s.blurPx = s.between(0.4, 0.9)
	// light that falls off across the frame by up to 1.5 stops
	dir, fall := s.between(0, 2*math.Pi), s.between(0, 1.5)
	cx, cy, d := float64(s.w)/2, float64(s.h)/2, math.Hypot(float64(s.w), float64(s.h))
	s.light = func(x, y float64) float64 {
		return math.Exp2(fall * ((x-cx)*math.Cos(dir) + (y-cy)*math.Sin(dir)) / d)
	}
}

func sLog3() curve.Reading {
	c, err := curve.Find("S-Log3")
	if err != nil {
		panic(err)
	}
	return curve.Reading{Curve: c, Range: curve.Narrow, Bits: 10}
}

// randomPose places a plane of a width in the frame, wholly inside.
func (s *scene) randomPose(width, aspect float64) geometry.Quad {
	for {
		at := geometry.Point{s.between(0, float64(s.w)), s.between(0, float64(s.h))}
		q := pose(at, width, width*aspect, s.between(0, 2*math.Pi), s.between(0, 0.8), s.between(0, 7), s.between(2, 6))
		b := q.Bounds()
		if b.Min.X >= 2 && b.Min.Y >= 2 && b.Max.X <= s.w-2 && b.Max.Y <= s.h-2 {
			return q
		}
	}
}

func shorterSide(q geometry.Quad) float64 {
	return math.Min((q.Side(0)+q.Side(2))/2, (q.Side(1)+q.Side(3))/2)
}

func newPosed(seed uint64) posed { return posed{seed: seed, reading: sLog3(), matrix: curve.BT709} }

// record gives a posed scene its frame, 4:2:2 or 4:2:0.
func (s *scene) record(p posed) posed {
	p.frame = s.frame(p.reading, p.matrix, 1+int(p.seed%2))
	return p
}

func posedChart(seed uint64, mirrored bool) posed {
	s, p := sceneWithChart(seed, mirrored)
	return s.record(p)
}

// sceneWithChart is a chart of 60 px or more in a furnished room, with glare on some of the patches of
// every third.
func sceneWithChart(seed uint64, mirrored bool) (*scene, posed) {
	s := newScene(1280, 720, seed)
	s.furnish(30)
	q := geometry.Quad{}
	for q.Side(0) < 60 {
		q = s.randomPose(60*math.Pow(10, s.rng.Float64()), bodyHeight/bodyWidth)
	}
	s.addSurround(q, 1.06, s.colour(0.02, 0.8, 0.3))
	glare := noGlare
	if seed%3 == 0 {
		glare = s.glare()
	}
	h := s.addChart(q, Edition2005, mirrored, glare)
	s.camera()
	p := newPosed(seed)
	p.corners, p.sizePx = gridOutline(h), q.Side(0)
	middle := h.At(2.5, 3)
	p.stops = s.stops + math.Log2(s.light(middle.X, middle.Y)) + s.lumaStops()
	return s, p
}

func noGlare(u, v float64) float64 { return 0 }

// glare is a reflection of a lamp that adds a tenth of its light or more to a third of the patches
// at most.
func (s *scene) glare() func(u, v float64) float64 {
	for {
		at, r, peak := geometry.Point{s.rng.Float64(), s.rng.Float64()}, s.between(0.04, 0.12), s.between(0.1, 1.5)
		g := func(u, v float64) float64 {
			d := math.Hypot(u-at.X, (v-at.Y)*bodyHeight/bodyWidth)
			return peak * math.Exp(-d*d/(2*r*r))
		}
		lit := 0
		for n := range 24 {
			x, y := 0.25+patchSide/2+patchPitch*float64(n%6), 0.25+patchSide/2+patchPitch*float64(n/6)
			if g(x/bodyWidth, y/bodyHeight) > 0.1*Edition2005.Luminance(n) {
				lit++
			}
		}
		if lit <= 8 {
			return g
		}
	}
}

// lumaStops is what a neutral's luma signal reads over its green, to a first order.
func (s *scene) lumaStops() float64 {
	m := curve.BT709
	return m.Kr*s.balance[0] + m.Kb*s.balance[2]
}

// addSurround paints a body somewhat larger than a quad.
func (s *scene) addSurround(q geometry.Quad, factor float64, c [3]float64) {
	big := q.Shrink(factor)
	s.paint(big, func(p geometry.Point) ([3]float64, bool) { return c, big.Contains(p) })
}

func posedCard(seed uint64) posed {
	s, p := sceneWithCard(seed)
	return s.record(p)
}

// sceneWithCard is an 18 % card in a furnished room; two of three are held by fingers over a corner
// or an edge.
func sceneWithCard(seed uint64) (*scene, posed) {
	s := newScene(1280, 720, seed)
	s.furnish(25)
	grey := [3]float64{curve.MidGrey, curve.MidGrey, curve.MidGrey}
	q := geometry.Quad{}
	for shorterSide(q) < 48 || s.standsOut(q, grey) < 0.8 {
		q = s.randomPose(60*math.Pow(8, s.rng.Float64()), s.between(0.65, 1))
	}
	s.paint(q, func(p geometry.Point) ([3]float64, bool) { return grey, q.Contains(p) })
	if seed%3 != 0 {
		s.addHand(q)
	}
	s.camera()
	p := newPosed(seed)
	p.corners, p.sizePx = q, shorterSide(q)
	c := q.Centre()
	p.stops = s.stops + math.Log2(s.light(c.X, c.Y)) + s.lumaStops()
	return s, p
}

// standsOut returns the share of a quad's rim along which what lies outside differs from a colour by
// a quarter of a stop or more in some channel.
func (s *scene) standsOut(q geometry.Quad, c [3]float64) float64 {
	const probes = 40
	rim, n := q.grow(5), 0.0
	for i := range rim {
		for k := range probes {
			p := geometry.Mix(rim[i], rim[(i+1)%4], (float64(k)+0.5)/probes)
			x, y := min(max(int(p.X), 0), s.w-1), min(max(int(p.Y), 0), s.h-1)
			off := 0.0
			for ch, v := range s.pix[y*s.w+x] {
				off = math.Max(off, math.Abs(math.Log2(float64(v)/c[ch])))
			}
			if off >= 0.25 {
				n++
			}
		}
	}
	return n / (4 * probes)
}

// addHand lays fingers over a corner or an edge of a quad.
func (s *scene) addHand(q geometry.Quad) {
	skin := [][3]float64{{0.45, 0.30, 0.22}, {0.28, 0.17, 0.11}, {0.11, 0.065, 0.045}}[s.rng.IntN(3)]
	i := s.rng.IntN(4)
	at := geometry.Mix(q[i], q[(i+1)%4], s.between(0, 0.5))
	size := shorterSide(q)
	for range 1 + s.rng.IntN(3) {
		long, thick := size*s.between(0.25, 0.4), size*s.between(0.08, 0.14)
		dir := s.between(0, 2*math.Pi)
		ct, st := math.Cos(dir), math.Sin(dir)
		c := at.add(geometry.Point{s.between(-0.1, 0.1) * size, s.between(-0.1, 0.1) * size})
		s.paint(box(c, 2*long), func(p geometry.Point) ([3]float64, bool) {
			d := p.Sub(c)
			x, y := (d.X*ct+d.Y*st)/long, (-d.X*st+d.Y*ct)/thick
			return skin, x*x+y*y < 1
		})
	}
}
