package match

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"stopledger/analyze/placement"
	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

func grey(stops curve.Stops, change func(*placement.Placement)) Clip {
	p := &placement.Placement{Stops: stops, Low: stops - 0.13, High: stops + 0.13, Reading: 0.01, Reference: 0.12,
		Method: placement.Card, Reflectance: 0.18, Region: &geometry.Rect{X: 100, Y: 100, W: 80, H: 80}}
	if change != nil {
		change(p)
	}
	return Clip{Grey: p, Floor: curve.Unknown[curve.Stops]()}
}

// Grey in both: the offset is the difference of placements. How well the card is known, 0.12 stops here,
// drops out where it is the same card; reading errors add in squares: hypot(0.01, 0.01) = 0.0141, and
// hypot(0.13, 0.13) = 0.1838 with it.
func TestByGrey(t *testing.T) {
	elsewhere := func(p *placement.Placement) { p.Region = &geometry.Rect{X: 900, Y: 500, W: 300, H: 300} }
	for _, test := range []struct {
		name       string
		a, b       Clip
		half       float64
		refused    bool
		wantMethod Means
	}{
		{"the same card", grey(1.65, nil), grey(0, nil), 0.0141, false, Card},
		{"a card elsewhere", grey(1.65, nil), grey(0, elsewhere), 0.1838, false, Card},
		{"two charts", grey(1.65, func(p *placement.Placement) { p.Method = placement.Chart }),
			grey(0, func(p *placement.Placement) { p.Method = placement.Chart }), 0.0141, false, Chart},
		{"a chart and a card", grey(1.65, func(p *placement.Placement) { p.Method = placement.Chart }), grey(0, nil), 0.1838,
			false, Card},
		{"it moves within the clip", grey(1.65, func(p *placement.Placement) { p.Drift = -0.4 }), grey(0, nil), 0.2141, false,
			Card},
		{"weak", grey(1.65, func(p *placement.Placement) { p.Weak = true }), grey(0, nil), 0, true, ""},
		{"doubted", grey(1.65, nil), grey(0, func(p *placement.Placement) { p.Doubt = placement.Curve }), 0, true, ""},
		{"carried", grey(1.65, func(p *placement.Placement) { p.Carried = "b.mov" }), grey(0, nil), 0, true, ""},
		{"a face", grey(1.65, func(p *placement.Placement) { p.Method = placement.Face }), grey(0, nil), 0, true, ""},
		{"nothing", Clip{}, grey(0, nil), 0, true, ""},
	} {
		o := Match(test.a, test.b)
		if test.refused {
			if o.By != "" || curve.Finite(o.Stops) || o.Reason == "" {
				t.Errorf("%s: %+v, want none without a view", test.name, o)
			}
			continue
		}
		const printed = 1e-4
		if o.By != test.wantMethod || math.Abs(float64(o.Stops+1.65)) > 1e-9 ||
			math.Abs(float64(o.High-o.Stops)-test.half) > printed || math.Abs(float64(o.Stops-o.Low)-test.half) > printed {
			t.Errorf("%s: %+v, want -1.65 within %.4f by %s", test.name, o, test.half, test.wantMethod)
		}
	}
}

// TestCorrelation: the greatest correlation is that of every shift tried one by one, by the textbook
// coefficient over the pixels that both have.
func TestCorrelation(t *testing.T) {
	for seed := range uint64(6) {
		random := rand.New(rand.NewPCG(seed, 7))
		a, b := randomPicture(random, 17, 11), randomPicture(random, 19, 12)
		for y := range 9 { // a part of it is in the other
			for x := range 14 {
				b.stops[b.at(x+4, y+2)] = a.stops[a.at(x, y)]
			}
		}
		got, want := correlate(a, b), slowCorrelate(a, b)
		const rounding = 1e-9
		if got.dx != want.dx || got.dy != want.dy || math.Abs(got.correlation-want.correlation) > rounding {
			t.Errorf("seed %d: %+v, one by one %+v", seed, got, want)
		}
	}
}

func randomPicture(random *rand.Rand, w, h int) *picture {
	p := &picture{width: w, height: h, stops: make([]float64, w*h), valid: make([]bool, w*h)}
	for i := range p.stops {
		if p.valid[i] = random.IntN(8) > 0; p.valid[i] {
			p.stops[i] = random.NormFloat64()
		}
	}
	return p
}

func slowCorrelate(a, b *picture) place {
	best := place{correlation: math.Inf(-1)}
	least := leastOverlap * math.Min(total(a), total(b))
	for dy := -a.height; dy <= b.height; dy++ {
		for dx := -a.width; dx <= b.width; dx++ {
			if c, n := coefficient(a, b, dx, dy); n >= least && c > best.correlation {
				best = place{dx: dx, dy: dy, correlation: c}
			}
		}
	}
	return best
}

// coefficient is Pearson's, over the pixels that both pictures have at a shift.
func coefficient(a, b *picture, dx, dy int) (c, n float64) {
	var u, v []float64
	for y := range b.height {
		for x := range b.width {
			ax, ay := x-dx, y-dy
			if ax >= 0 && ay >= 0 && ax < a.width && ay < a.height && a.valid[a.at(ax, ay)] && b.valid[b.at(x, y)] {
				u, v = append(u, a.stops[a.at(ax, ay)]), append(v, b.stops[b.at(x, y)])
			}
		}
	}
	mean := func(s []float64) (m float64) {
		for _, x := range s {
			m += x / float64(len(s))
		}
		return m
	}
	mu, mv := mean(u), mean(v)
	var uv, uu, vv float64
	for i := range u {
		uv += (u[i] - mu) * (v[i] - mv)
		uu += (u[i] - mu) * (u[i] - mu)
		vv += (v[i] - mv) * (v[i] - mv)
	}
	return uv / math.Sqrt(uu*vv), float64(len(u))
}

// TestLightAlone: a view of the same pixels with half the light is matched by exactly one stop; one that
// is clipped all over, or black, or even, is refused and never panics.
func TestLightAlone(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 9))
	full := viewWith(func(int) float32 { return float32(0.18 * math.Exp2(1.5*random.NormFloat64())) }, 0)
	half := viewWith(func(block int) float32 { return full.View.R[block/16*20*320+block%16*20] / 2 }, 0)
	if o := Match(half, full); o.By != Content || math.Abs(float64(o.Stops-1)) > 1e-5 {
		t.Errorf("half the light: %+v", o)
	}
	for name, c := range map[string]Clip{
		"clipped": viewWith(func(int) float32 { return 5 }, 7),
		"black":   viewWith(func(int) float32 { return 0 }, 0),
		"even":    viewWith(func(int) float32 { return 0.18 }, 0),
		"tiny": {View: &still.Still{Width: 1, Height: 1, Scale: 1, Clipped: []uint8{0},
			R: []float32{1}, G: []float32{1}, B: []float32{1}}},
	} {
		if o := Match(c, full); o.By != "" {
			t.Errorf("%s: %+v", name, o)
		}
		if o := Match(full, c); o.By != "" || !strings.Contains(o.Reason, "common") {
			t.Errorf("to %s: %+v", name, o)
		}
	}
}

// viewWith is a view of 16 x 9 blocks of 20 x 20 pixels of one light each, a clip without grey.
func viewWith(light func(block int) float32, clipped uint8) Clip {
	const w, h, side = 320, 180, 20
	blocks := make([]float32, w/side*h/side)
	for i := range blocks {
		blocks[i] = light(i)
	}
	v := &still.Still{Width: w, Height: h, Scale: 6, R: make([]float32, w*h), Clipped: make([]uint8, w*h)}
	for i := range v.R {
		v.R[i] = blocks[i/w/side*(w/side)+i%w/side]
		v.Clipped[i] = clipped
	}
	v.G, v.B = v.R, v.R
	return Clip{View: v, Floor: curve.Unknown[curve.Stops]()}
}
