package curve

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestRound(t *testing.T) {
	for _, test := range []struct {
		v        float64
		decimals int
		want     float64
	}{
		{0.5, 0, 1}, {-0.5, 0, -1}, {1.5, 0, 2}, {2.5, 0, 3}, {-2.5, 0, -3}, // halves go away from zero
		{0.125, 2, 0.13}, {-0.125, 2, -0.13}, {0.12499, 2, 0.12}, {1234.5678, 1, 1234.6},
		{-0.04, 1, 0}, {math.Copysign(0, -1), 3, 0}, {0.04, 1, 0},
		{math.MaxFloat64, 4, math.MaxFloat64}, {-math.MaxFloat64, 4, -math.MaxFloat64},
		{math.Inf(1), 4, math.Inf(1)}, {math.Inf(-1), 4, math.Inf(-1)},
	} {
		got := Round(test.v, test.decimals)
		if got != test.want || math.Signbit(got) != math.Signbit(test.want) {
			t.Errorf("%g to %d decimals: %g, want %g", test.v, test.decimals, got, test.want)
		}
	}
	if got := Round(math.NaN(), 2); !math.IsNaN(got) {
		t.Errorf("NaN rounds to %g", got)
	}
}

// Rounding moves a number by half its last decimal at most, and a second time not at all.
func TestRoundTwice(t *testing.T) {
	const seed = 31
	rng := rand.New(rand.NewPCG(seed, 1))
	for range 20000 {
		v, decimals := rng.NormFloat64()*math.Exp2(20*rng.Float64()-10), rng.IntN(7)
		once := Round(Ratio(v), decimals)
		if again := Round(once, decimals); again != once {
			t.Fatalf("%v to %d decimals: %v, then %v (seed %d)", v, decimals, once, again, seed)
		}
		if off := math.Abs(float64(once) - v); off > 0.5*math.Pow10(-decimals)*(1+1e-9)+1e-15*math.Abs(v) {
			t.Fatalf("%v to %d decimals moves by %g (seed %d)", v, decimals, off, seed)
		}
	}
}

func TestFinite(t *testing.T) {
	above, below := Stops(math.Inf(1)), Stops(math.Inf(-1))
	for v, want := range map[Stops]bool{0: true, -3: true, math.MaxFloat64: true, above: false, below: false} {
		if Finite(v) != want {
			t.Errorf("Finite(%g) is %t", v, !want)
		}
	}
	if Finite(Unknown[Light]()) {
		t.Error("what is unknown is finite")
	}
}

// Factors of two, by definition.
func TestGain(t *testing.T) {
	for s, want := range map[Stops]float64{0: 1, 1: 2, -3: 0.125, 0.5: math.Sqrt2} {
		if got := s.Gain(); math.Abs(got-want) > 1e-15 {
			t.Errorf("%g stops are a factor of %g, want %g", s, got, want)
		}
	}
}
