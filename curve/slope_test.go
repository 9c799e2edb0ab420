package curve

import (
	"math"
	"testing"
)

// The slope lies between the differences on either side. Points that have a join within the
// step are left out: a bridge may be shorter than it.
func TestSlopeAgainstDifferences(t *testing.T) {
	const h = 1e-6
	for _, c := range everyCurve(t) {
		for i := range 2000 {
			n := -0.05 + 1.1*float64(i)/2000
			if joinWithin(c, n, 2*h) {
				continue
			}
			x := float64(c.Decode(n))
			left, right := (x-float64(c.Decode(n-h)))/h, (float64(c.Decode(n+h))-x)/h
			low, high := min(left, right), max(left, right)
			// Straight and held pieces leave rounding alone: about 1e-16 of light over h.
			slack := slopeRelative*high + 1e-9*max(1, math.Abs(x))
			if got := c.DecodeSlope(n); !(got >= low-slack && got <= high+slack) {
				t.Errorf("%s: slope %.9g at n = %g, differences give %.9g and %.9g",
					c.Name, got, n, left, right)
				break
			}
		}
	}
}

func joinWithin(c *Curve, n, distance float64) bool {
	for _, s := range spans(c.shape) {
		if math.Abs(s.fromN-n) < distance {
			return true
		}
	}
	return false
}

func TestNoNumberAndNoBound(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range everyCurve(t) {
		for what, f := range map[string]func(float64) float64{
			"Encode":      func(x float64) float64 { return c.Encode(Light(x)) },
			"Decode":      func(n float64) float64 { return float64(c.Decode(n)) },
			"DecodeSlope": c.DecodeSlope,
		} {
			if got := f(nan); !math.IsNaN(got) {
				t.Errorf("%s: %s(NaN) = %g, want NaN", c.Name, what, got)
			}
			for _, v := range []float64{inf, -inf, math.MaxFloat64, -math.MaxFloat64, 0, math.SmallestNonzeroFloat64} {
				if got := f(v); math.IsNaN(got) {
					t.Errorf("%s: %s(%g) is NaN", c.Name, what, v)
				}
			}
		}
	}
}

// Without an end of its own a curve takes endless light to an endless signal and back.
func TestEndlessLight(t *testing.T) {
	inf := math.Inf(1)
	for _, tc := range []struct {
		name                                       string
		encodeUp, encodeDown, decodeUp, decodeDown float64
	}{
		{"S-Log3", inf, -inf, inf, -inf},
		{"N-Log", inf, -inf, inf, -inf},
		{"Canon Log 3", inf, -inf, inf, -inf},
		{"LogC3 EI3200", inf, -inf, inf, -inf},
		{"HLG", inf, -inf, inf, -inf},
		{"Linear", inf, -inf, inf, -inf},
		{"Apple Log", inf, 0, inf, -0.05641088},
		{"BT.1886", inf, 0, inf, 0},
		// (c2/c3)^m2 and c1^m2 of ST 2084.
		{"PQ", math.Pow(2413.0/2392, 2523.0/32), math.Pow(3424.0/4096, 2523.0/32), inf, 0},
		// The ACES encoding ends at the largest half-float: (log2(65504) + 9.72) / 17.52.
		{"ACEScc", (math.Log2(65504) + 9.72) / 17.52, (-16 + 9.72) / 17.52, 65504, 0},
	} {
		c, err := Find(tc.name)
		if err != nil {
			t.Fatal(err)
		}
		for what, pair := range map[string][2]float64{
			"Encode(+Inf)": {c.Encode(Light(inf)), tc.encodeUp},
			"Encode(-Inf)": {c.Encode(Light(-inf)), tc.encodeDown},
			"Decode(+Inf)": {float64(c.Decode(inf)), tc.decodeUp},
			"Decode(-Inf)": {float64(c.Decode(-inf)), tc.decodeDown},
		} {
			if got, want := pair[0], pair[1]; got != want && !(math.Abs(got-want) < 1e-12) {
				t.Errorf("%s: %s = %g, want %g", tc.name, what, got, want)
			}
		}
	}
}
