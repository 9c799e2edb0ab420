package pose

import (
	"math"

	"stopledger/analyze/detect"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// A Posed scene is a frame with the truth of what is in it.
type Posed struct {
	Seed    uint64        // all that is random comes from it
	Frame   *decode.Frame // as recorded
	Reading curve.Reading // of the recording
	Matrix  curve.Matrix  // of the recording
	Corners geometry.Quad // of the chart's grid or of the card
	Stops   curve.Stops   // placement where it is measured
	SizePx  float64       // shorter projected side
}

// Camera gives a scene a recording: placement, light, white balance, primaries, noise, lens.
func (s *Scene) Camera() {
	s.Stops = curve.Stops(s.between(-2, 3))
	s.Balance = [3]curve.Stops{curve.Stops(s.between(-0.15, 0.15)), 0, curve.Stops(s.between(-0.2, 0.2))}
	s.Wide = s.rng.IntN(2) == 0
	s.GreySNR = curve.Ratio(math.Pow(10, s.between(1.2, 2.2)))
	s.FloorStops = curve.Stops(s.between(-8, -5))
	s.BlurPx = s.between(0.4, 0.9)
	// light that falls off across the frame by up to 1.5 stops
	dir, fall := s.between(0, 2*math.Pi), s.between(0, 1.5)
	cx, cy, d := float64(s.W)/2, float64(s.H)/2, math.Hypot(float64(s.W), float64(s.H))
	s.Light = func(x, y float64) float64 {
		return math.Exp2(fall * ((x-cx)*math.Cos(dir) + (y-cy)*math.Sin(dir)) / d)
	}
}

// SLog3 is the reading of all posed scenes: S-Log3 in narrow range at 10 bits.
func SLog3() curve.Reading {
	c, err := curve.Find("S-Log3")
	if err != nil {
		panic(err)
	}
	return curve.Reading{Curve: c, Range: curve.Narrow, Bits: 10}
}

// RandomPlace places a plane of a width in the frame, wholly inside.
func (s *Scene) RandomPlace(width, aspect float64) geometry.Quad {
	for {
		at := geometry.Pt(s.between(0, float64(s.W)), s.between(0, float64(s.H)))
		angle, tilt, axis, distance := s.between(0, 2*math.Pi), s.between(0, 0.8), s.between(0, 7), s.between(2, 6)
		q := Place(at, width, width*aspect, angle, tilt, axis, distance)
		b := q.Bounds()
		if b.Min.X >= 2 && b.Min.Y >= 2 && b.Max.X <= s.W-2 && b.Max.Y <= s.H-2 {
			return q
		}
	}
}

func shorterSide(q geometry.Quad) float64 {
	return math.Min((q.Side(0)+q.Side(2))/2, (q.Side(1)+q.Side(3))/2)
}

func newPosed(seed uint64) Posed { return Posed{Seed: seed, Reading: SLog3(), Matrix: curve.BT709} }

// Record gives a posed scene its frame, 4:2:2 or 4:2:0.
func (s *Scene) Record(p Posed) Posed {
	p.Frame = s.Frame(p.Reading, p.Matrix, 1+int(p.Seed%2))
	return p
}

// Chart is a recorded ChartScene.
func Chart(seed uint64, mirrored bool) Posed {
	s, p := ChartScene(seed, mirrored)
	return s.Record(p)
}

// ChartScene is a chart of 60 px or more in a furnished room, with glare on some of the patches of
// every third.
func ChartScene(seed uint64, mirrored bool) (*Scene, Posed) {
	s := NewScene(1280, 720, seed)
	s.Furnish(30)
	q := geometry.Quad{}
	for q.Side(0) < 60 {
		q = s.RandomPlace(60*math.Pow(10, s.rng.Float64()), BodyHeight/BodyWidth)
	}
	s.addSurround(q, 1.06, s.colour(0.02, 0.8, 0.3))
	var glare Glare = NoGlare
	if seed%3 == 0 {
		glare = s.glare()
	}
	h := s.AddChart(q, detect.Edition2005, mirrored, glare)
	s.Camera()
	p := newPosed(seed)
	p.Corners, p.SizePx = h.Image(-0.5, -0.5, 5.5, 3.5), q.Side(0)
	middle := h.At(2.5, 3)
	p.Stops = s.At(middle)
	return s, p
}

// NoGlare is the reflection of no lamp.
func NoGlare(u, v float64) float64 { return 0 }

// glare is a reflection of a lamp that adds a tenth of its light or more to a third of the patches
// at most.
func (s *Scene) glare() Glare {
	for {
		at, r, peak := geometry.Pt(s.rng.Float64(), s.rng.Float64()), s.between(0.04, 0.12), s.between(0.1, 1.5)
		g := func(u, v float64) float64 {
			d := math.Hypot(u-at.X, (v-at.Y)*BodyHeight/BodyWidth)
			return peak * math.Exp(-d*d/(2*r*r))
		}
		lit := 0
		for n := range 24 {
			x, y := 0.25+patchSide/2+patchPitch*float64(n%6), 0.25+patchSide/2+patchPitch*float64(n/6)
			if g(x/BodyWidth, y/BodyHeight) > 0.1*detect.Edition2005.Luminance(n) {
				lit++
			}
		}
		if lit <= 8 {
			return g
		}
	}
}

// At returns the placement of grey at a place, as luma reads it: what a neutral's luma signal reads
// over its green is taken to a first order.
func (s *Scene) At(p geometry.Point) curve.Stops {
	m := curve.BT709
	luma := m.Kr*float64(s.Balance[0]) + m.Kb*float64(s.Balance[2])
	return s.Stops + curve.Stops(math.Log2(s.Light(p.X, p.Y))+luma)
}

// addSurround paints a body somewhat larger than a quad.
func (s *Scene) addSurround(q geometry.Quad, factor float64, c [3]float64) {
	big := q.Shrink(factor)
	s.Paint(big, func(p geometry.Point) ([3]float64, bool) { return c, big.Contains(p) })
}

// Card is a recorded CardScene.
func Card(seed uint64) Posed {
	s, p := CardScene(seed)
	return s.Record(p)
}

// CardScene is an 18 % card in a furnished room; two of three are held by fingers over a corner
// or an edge.
func CardScene(seed uint64) (*Scene, Posed) {
	s := NewScene(1280, 720, seed)
	s.Furnish(25)
	grey := [3]float64{curve.MidGrey, curve.MidGrey, curve.MidGrey}
	q := geometry.Quad{}
	for shorterSide(q) < 48 || s.standsOut(q, grey) < 0.8 {
		q = s.RandomPlace(60*math.Pow(8, s.rng.Float64()), s.between(0.65, 1))
	}
	s.Paint(q, func(p geometry.Point) ([3]float64, bool) { return grey, q.Contains(p) })
	if seed%3 != 0 {
		s.addHand(q)
	}
	s.Camera()
	p := newPosed(seed)
	p.Corners, p.SizePx = q, shorterSide(q)
	p.Stops = s.At(q.Centre())
	return s, p
}

// standsOut returns the share of a quad's rim along which what lies outside differs from a colour by
// a quarter of a stop or more in some channel.
func (s *Scene) standsOut(q geometry.Quad, c [3]float64) float64 {
	const probes = 40
	rim, n := q.Grow(5), 0.0
	for i := range rim {
		for k := range probes {
			p := geometry.Mix(rim[i], rim[(i+1)%4], (float64(k)+0.5)/probes)
			x, y := min(max(int(p.X), 0), s.W-1), min(max(int(p.Y), 0), s.H-1)
			off := 0.0
			for ch, v := range s.Pix[y*s.W+x] {
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
func (s *Scene) addHand(q geometry.Quad) {
	skin := [][3]float64{{0.45, 0.30, 0.22}, {0.28, 0.17, 0.11}, {0.11, 0.065, 0.045}}[s.rng.IntN(3)]
	i := s.rng.IntN(4)
	at := geometry.Mix(q[i], q[(i+1)%4], s.between(0, 0.5))
	size := shorterSide(q)
	for range 1 + s.rng.IntN(3) {
		long, thick := size*s.between(0.25, 0.4), size*s.between(0.08, 0.14)
		dir := s.between(0, 2*math.Pi)
		ct, st := math.Cos(dir), math.Sin(dir)
		c := at.Add(geometry.Pt(s.between(-0.1, 0.1)*size, s.between(-0.1, 0.1)*size))
		s.Paint(Box(c, 2*long), func(p geometry.Point) ([3]float64, bool) {
			d := p.Sub(c)
			x, y := (d.X*ct+d.Y*st)/long, (-d.X*st+d.Y*ct)/thick
			return skin, x*x+y*y < 1
		})
	}
}
