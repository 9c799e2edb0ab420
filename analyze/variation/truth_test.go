package variation

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/placement"
	"stopledger/curve"
)

// A series of n moments two seconds apart, with noise of a standard deviation.
func series(random *rand.Rand, n int, noise float64, level func(i int) float64) (m []placement.At) {
	for i := range n {
		m = append(m, placement.At{T: curve.Seconds(2 * i), Stops: curve.Stops(level(i) + noise*random.NormFloat64())})
	}
	return m
}

func known[T ~float64](v T) bool { return curve.Finite(v) }

// sure is how many standard errors an estimate may lie from the truth; one in two million does.
const sure = 5

// TestDriftOfKnownSize: a steady drift is told as what it is over the whole clip, to the standard
// error of a slope by ordinary least squares, sigma x sqrt(12 / (n (n^2 - 1))) for moments at even
// distances.
func TestDriftOfKnownSize(t *testing.T) {
	const noise = 0.004
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 21))
		n := 4 + random.IntN(30)
		over := (0.15 + 1.5*random.Float64()) * float64(1-2*random.IntN(2))
		r := tell(series(random, n, noise, func(i int) float64 { return 0.7 + over*float64(i)/float64(n) }), nil, 24)
		slack := sure * noise * float64(n) * math.Sqrt(12/(float64(n)*(float64(n*n)-1)))
		if math.Abs(float64(r.Drift)-over) > slack && math.Abs(over)-slack > 0.1 || known(r.Step) {
			t.Errorf("seed %d: a drift of %.3f over %d moments is told as %+v", seed, over, n, r)
		}
		if math.Abs(over)-slack > 0.1 && !known(r.Drift) {
			t.Errorf("seed %d: a drift of %.3f over %d moments is not told", seed, over, n)
		}
	}
}

// TestStepOfKnownSize: a step is told with its size, to the standard error of a difference of two
// means, and with the moment after it.
func TestStepOfKnownSize(t *testing.T) {
	const noise = 0.01
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 22))
		n := 6 + random.IntN(20)
		at := 2 + random.IntN(n-3)
		step := (0.25 + random.Float64()) * float64(1-2*random.IntN(2))
		r := tell(series(random, n, noise, func(i int) float64 {
			if i >= at {
				return 0.4 + step
			}
			return 0.4
		}), nil, 24)
		slack := sure * noise * math.Sqrt(1/float64(at)+1/float64(n-at))
		if !(math.Abs(float64(r.Step)-step) <= slack) || r.StepAt != curve.Seconds(2*at) || known(r.Drift) {
			t.Errorf("seed %d: a step of %.3f at moment %d of %d is told as %+v", seed, step, at, n, r)
		}
	}
}

// TestNoiseIsNoMovement: what scatters by a fiftieth of a stop about one level neither drifts nor
// steps nor flickers.
func TestNoiseIsNoMovement(t *testing.T) {
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 23))
		moments := series(random, 6+random.IntN(20), 0.015, func(int) float64 { return -0.3 })
		var frames [][]placement.At
		for range 6 {
			frames = append(frames, lit(random, 8, 24, 0.003, 0, 100))
		}
		if r := tell(moments, frames, 24); known(r.Drift) || known(r.Step) || known(r.Flicker) {
			t.Errorf("seed %d: %+v", seed, r)
		}
	}
}

// TestFewMomentsTellNothing: under four moments there is no drift and no step, however large.
func TestFewMomentsTellNothing(t *testing.T) {
	for n := range 5 {
		random := rand.New(rand.NewPCG(uint64(n), 24))
		drift := tell(series(random, n, 0, func(i int) float64 { return float64(i) }), nil, 24)
		step := tell(series(random, n, 0, func(i int) float64 { return float64(i / 2) }), nil, 24)
		if known(drift.Drift) != (n >= 4) || known(step.Step) != (n >= 4) || known(step.StepAt) != known(step.Step) {
			t.Errorf("%d moments: %+v, %+v", n, drift, step)
		}
	}
}

// lit makes one group of frames under light that swells by swing stops, peak to peak, so many times
// a second, from a random phase on, with noise and a slow drift in the group.
func lit(random *rand.Rand, frames int, rate, noise, swing, hertz float64) (group []placement.At) {
	start, phase, slope := 100*random.Float64(), 2*math.Pi*random.Float64(), 0.02*random.NormFloat64()
	for i := range frames {
		t := start + float64(i)/rate
		level := swing/2*math.Cos(2*math.Pi*hertz*t+phase) + slope*float64(i)/rate + noise*random.NormFloat64()
		group = append(group, placement.At{T: curve.Seconds(t), Stops: curve.Stops(level)})
	}
	return group
}

// seen returns the lowest frequency that has the same samples at a frame rate, by trying all
// multiples (sampling theorem: f and f + k x rate cannot be told apart).
func seen(hertz, rate float64) float64 {
	least := math.Inf(1)
	for k := -200.0; k <= 200; k++ {
		least = min(least, math.Abs(hertz+k*rate))
	}
	return least
}

// TestMainsLightFlickers: light on 50 or 60 Hz mains swells 100 or 120 times a second. At every
// usual frame rate at which that beats it is told with its swing and the beat's frequency.
func TestMainsLightFlickers(t *testing.T) {
	for _, rate := range []float64{24000. / 1001, 24, 25, 30000. / 1001, 48, 50, 60000. / 1001} {
		for _, hertz := range []float64{100, 120} {
			beat := seen(hertz, rate)
			if got := alias(hertz, rate); math.Abs(got-beat) > 1e-9 {
				t.Errorf("%g Hz at %g frames a second beats %g times a second, want %g", hertz, rate, got, beat)
			}
			if math.Abs(beat-rate/2) < 0.1 {
				continue // at half the rate the swing that is seen hangs on the phase
			}
			for seed := range uint64(10) {
				random := rand.New(rand.NewPCG(seed, 25))
				swing := 0.04 + 0.2*random.Float64()
				var frames [][]placement.At
				for range 6 {
					frames = append(frames, lit(random, 12, rate, 0.0005, swing, hertz))
				}
				got, at := flicker(frames, rate)
				if beat < 0.5 {
					if known(got) {
						t.Errorf("%g Hz at %g frames a second: %v told of a beat of %g Hz", hertz, rate, got, beat)
					}
					continue
				}
				if math.Abs(float64(got)-swing) > 0.1*swing || math.Abs(float64(at)-beat) > 1e-9 {
					t.Errorf("%g Hz at %g frames a second, seed %d: %v stops at %v Hz, want %.3f at %.3f", hertz, rate, seed,
						got, at, swing, beat)
				}
			}
		}
	}
}

// TestOtherSwingsAreNoFlicker: what swings at no multiple of the mains, in one group only, or at a
// rate that is not known, is none.
func TestOtherSwingsAreNoFlicker(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 26))
	var torch, mains, one [][]placement.At
	for i := range 7 {
		torch = append(torch, lit(random, 24, 24, 0.0005, 0.1, 9)) // 100 Hz beats four times a second
		mains = append(mains, lit(random, 24, 24, 0.0005, 0.1, 100))
		one = append(one, lit(random, 24, 24, 0.0005, 0.1*float64(i/6), 100))
	}
	for name, tc := range map[string]struct {
		frames [][]placement.At
		rate   float64
		want   bool
	}{
		"mains": {mains, 24, true}, "nine times a second": {torch, 24, false}, "one group": {one, 24, false},
		"no rate": {mains, 0, false}, "no groups": {nil, 24, false}, "groups too short": {shortened(mains, 5), 24, false},
		"just long enough": {shortened(mains, 6), 24, true},
	} {
		swing, at := flicker(tc.frames, tc.rate)
		if known(swing) != tc.want || known(at) != tc.want {
			t.Errorf("%s: %v stops at %v Hz", name, swing, at)
		}
	}
}

func shortened(frames [][]placement.At, n int) (out [][]placement.At) {
	for _, g := range frames {
		out = append(out, g[:n])
	}
	return out
}
