package curve

import (
	"math"
	"math/rand/v2"
	"testing"
)

// foot is the light below which a curve holds: its formula ends there.
var foot = map[string]float64{
	"Apple Log": -0.05641088,
	"PQ":        0,
	"BT.1886":   0,
	"ACEScc":    0,
	"Cineon":    0.9 * (math.Pow(10, -685.0/300) - math.Pow(10, (95.0-685)/300)) / (1 - math.Pow(10, (95.0-685)/300)),
}

// lights returns light of every size the curve holds, and light around its joins.
func lights(c *Curve, seed uint64) []float64 {
	rng := rand.New(rand.NewPCG(seed, 1))
	top := float64(c.Decode(c.Top))
	xs := []float64{0, 0.18, top}
	for range 20000 {
		x := top * math.Exp2(-30*rng.Float64())
		xs = append(xs, x, -min(x, 1))
	}
	for _, s := range spans(c.shape) {
		x := s.fromX * unitOf(c.shape)
		for range 500 {
			xs = append(xs, x*(1+1e-3*rng.NormFloat64()), x+1e-6*rng.NormFloat64(), x)
		}
	}
	lowest, held := foot[c.Name]
	kept := xs[:0]
	for _, x := range xs {
		if (!held || x >= lowest) && x <= top {
			kept = append(kept, x)
		}
	}
	return kept
}

func spans(s Shape) []span {
	switch s := s.(type) {
	case joined:
		return s[1:]
	case scaled:
		return spans(s.of)
	}
	return nil
}

func unitOf(s Shape) float64 {
	if s, ok := s.(scaled); ok {
		return s.unit
	}
	return 1
}

func TestRoundTrip(t *testing.T) {
	const seed = 20
	for _, c := range everyCurve(t) {
		worst, at := 0.0, 0.0
		for _, x := range lights(c, seed) {
			back := float64(c.Decode(c.Encode(Light(x))))
			if e := math.Abs(back-x) / max(1, math.Abs(x)); !(e <= worst) {
				worst, at = e, x
			}
		}
		if !(worst <= roundTripLight) {
			t.Errorf("%s: light %g comes back off by %g, %g of the tolerance (seed %d)",
				c.Name, at, worst, worst/roundTripLight, seed)
		}
	}
}

func TestEndsHold(t *testing.T) {
	for name, x := range foot {
		c, err := Find(name)
		if err != nil {
			t.Fatal(err)
		}
		end := c.Encode(Light(x))
		for _, below := range []Light{Light(x) - 1e-3, -1, -1e300, Light(math.Inf(-1))} {
			if got := c.Encode(below); got != end {
				t.Errorf("%s: Encode(%g) = %g, want the end, %g", name, below, got, end)
			}
		}
		if got := float64(c.Decode(end - 0.1)); math.Abs(got-x) > 1e-15 {
			t.Errorf("%s: below its end it reads %g, want %g", name, got, x)
		}
		if got := c.DecodeSlope(end - 0.1); got != 0 {
			t.Errorf("%s: slope %g below its end, want 0", name, got)
		}
	}
}

// Decoding increases strictly from each 16-bit step to the next, everywhere it does not hold.
func TestIncreasing(t *testing.T) {
	for _, c := range everyCurve(t) {
		lowest := math.Inf(-1)
		if x, held := foot[c.Name]; held {
			lowest = c.Encode(Light(x))
		}
		for i := -4096; i < 1<<16+4096; i++ {
			n0, n1 := float64(i)/65535, float64(i+1)/65535
			if n0 < lowest || n1 > max(1, c.Top) {
				continue
			}
			if x0, x1 := c.Decode(n0), c.Decode(n1); !(x1 > x0) {
				t.Errorf("%s: decoded light goes from %g to %g at n = %g", c.Name, x0, x1, n0)
				break
			}
		}
	}
}

// Encoding never decreases, from far below black to far above the top.
func TestEncodeNeverDecreases(t *testing.T) {
	for _, c := range everyCurve(t) {
		last := math.Inf(-1)
		for e := 40.0; e >= -40; e -= 0.001 {
			if n := c.Encode(Light(-math.Exp2(e))); n < last {
				t.Fatalf("%s: n falls to %g at light -2^%g", c.Name, n, e)
			} else {
				last = n
			}
		}
		for e := -40.0; e <= 40; e += 0.001 {
			if n := c.Encode(Light(math.Exp2(e))); n < last {
				t.Fatalf("%s: n falls to %g at light 2^%g", c.Name, n, e)
			} else {
				last = n
			}
		}
	}
}
