package random

import (
	"math"
	"math/bits"
	"slices"
	"testing"
)

// Outputs of SplitMix64 from state 1234567: Rosetta Code, "Pseudo-random numbers/Splitmix64" (from
// memory). The state grows by a fixed odd number from one output to the next.
func TestMixIsSplitMix64(t *testing.T) {
	const golden = 0x9e3779b97f4a7c15
	state := uint64(1234567)
	for _, want := range []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423,
		4593380528125082431, 16408922859458223821} {
		if got := Mix(state); got != want {
			t.Errorf("from state %d: %d, want %d", state, got, want)
		}
		state += golden
	}
}

// Flipping one bit of the input flips half of the output's bits: 32 of 64, whose standard deviation
// is 4, over 64 x 100 flips (binomial distribution).
func TestMixSpreadsEachBit(t *testing.T) {
	const inputs = 100
	flipped := 0
	for i := range uint64(inputs) {
		for bit := range 64 {
			n := bits.OnesCount64(Mix(i) ^ Mix(i^1<<bit))
			if n < 32-6*4 || n > 32+6*4 {
				t.Errorf("input %d: bit %d flips %d bits", i, bit, n)
			}
			flipped += n
		}
	}
	mean, se := float64(flipped)/(64*inputs), 4/math.Sqrt(64*inputs)
	if math.Abs(mean-32) > errorsAllowed*se {
		t.Errorf("%.3f bits flip on average, want 32: %.1f standard errors", mean, (mean-32)/se)
	}
}

// Each row of each frame, of each seed and purpose, has numbers of its own, and always the same.
func TestRowsHaveNumbersOfTheirOwn(t *testing.T) {
	first := func(seed uint64, frame, row int, p Purpose) []uint64 {
		r := Row(seed, frame, row, p)
		return []uint64{r.Uint64(), r.Uint64(), r.Uint64()}
	}
	seen := map[uint64]string{}
	for seed := range uint64(3) {
		for frame := range 4 {
			for row := range 50 {
				for _, p := range []Purpose{Noise, Pattern, RowBands, ColumnBands} {
					got := first(seed, frame, row, p)
					if !slices.Equal(got, first(seed, frame, row, p)) {
						t.Fatalf("seed %d, frame %d, row %d: other numbers the second time", seed, frame, row)
					}
					if other, there := seen[got[0]]; there {
						t.Fatalf("seed %d, frame %d, row %d, purpose %d: as %s", seed, frame, row, p, other)
					}
					seen[got[0]] = "another row"
				}
			}
		}
	}
}

// Neighbouring rows are not correlated: the correlation coefficient of n pairs of independent
// numbers has a standard error of 1/sqrt(n).
func TestNeighbouringRowsAreIndependent(t *testing.T) {
	const n = 20000
	for _, pair := range []struct{ frame, row int }{{0, 1}, {1, 0}, {1, 1}} {
		a, b := Row(7, 0, 0, Noise), Row(7, pair.frame, pair.row, Noise)
		sum := 0.0
		for range n {
			sum += a.NormFloat64() * b.NormFloat64()
		}
		if r := sum / n; math.Abs(r) > errorsAllowed/math.Sqrt(n) {
			t.Errorf("frame %d, row %d: correlation %.4f with frame 0, row 0", pair.frame, pair.row, r)
		}
	}
}

// The whole distribution of a few means against the Poisson distribution itself, by chi-squared:
// its mean is the number of classes less one, its variance twice that.
func TestPoissonDistribution(t *testing.T) {
	const n = 200000
	for _, mean := range []float64{0.3, 2.5, 9.97, 18.2} {
		r := Row(1, 2, 3, Noise)
		var count [MostCounts]int
		for range n {
			count[Poisson(r.Uint64(), float32(mean))]++
		}
		p, chi, classes := math.Exp(-mean), 0.0, 0
		for k := range count {
			if want := n * p; want >= 10 {
				chi += (float64(count[k]) - want) * (float64(count[k]) - want) / want
				classes++
			}
			p *= mean / float64(k+1)
		}
		freedom := float64(classes - 1)
		if chi > freedom+errorsAllowed*math.Sqrt(2*freedom) {
			t.Errorf("mean %g: chi-squared %.1f over %d classes", mean, chi, classes)
		}
	}
}

// At the ends of what Poisson takes there is no number that it cannot draw; the one word in 2^32
// whose upper half is all ones lies above every fraction of the table and is not asked here.
func TestPoissonAtItsEnds(t *testing.T) {
	for _, bits := range []uint64{0, 1, 1<<32 - 1, 1 << 32, 1<<63 - 1, 1<<64 - 1<<32 - 1} {
		if k := Poisson(bits, 0); k != 0 {
			t.Errorf("no light gives %d electrons", k)
		}
		if k := Poisson(bits, MostMean); k < 0 || k >= MostCounts+8 {
			t.Errorf("%#x: %d electrons for the largest mean", bits, k)
		}
	}
	if float32(MostMean) >= PoissonBelow {
		t.Error("the largest mean is not below the bound")
	}
}
