package analyze

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"stopledger/decode/synth"
)

// chiCells are cells of unit variance that hold still, with a share that moves: there the
// variance is 1.2 to 20 times as large.
func chiCells(n int, freedom, moving float64, seed uint64) []cellNoise {
	random := rand.New(rand.NewPCG(seed, 99))
	chi := distuv.ChiSquared{K: freedom, Src: random}
	cells := make([]cellNoise, n)
	for i := range cells {
		cells[i] = cellNoise{code: float64(i), variance: chi.Rand() / freedom}
		if float64(i) < moving*float64(n) {
			cells[i].variance *= 1.2 * math.Pow(20/1.2, random.Float64())
		}
	}
	return cells
}

// estimates runs the robust rule over seeds and returns mean and spread of the variance, and the
// mean of the standard errors it claims.
func estimates(n, seeds int, freedom, moving float64) (mean, spread, claimed float64) {
	var sum, square float64
	for seed := range uint64(seeds) {
		_, v, relative := quietCells(chiCells(n, freedom, moving, seed), freedom)
		sum += v
		square += v * v
		claimed += relative / float64(seeds)
	}
	mean = sum / float64(seeds)
	return mean, math.Sqrt((square/float64(seeds) - mean*mean) * float64(seeds) / float64(seeds-1)), claimed
}

// TestRobustRuleIsUnbiased: over seeds the mean lies within four standard errors of the truth,
// spreads no more than 1.15 times the limit for as many samples, and claims about that spread.
func TestRobustRuleIsUnbiased(t *testing.T) {
	const seeds = 300
	for _, n := range []int{16, 100, 1000} {
		mean, spread, claimed := estimates(n, seeds, cellFreedom, 0)
		limit := math.Sqrt(2.0 / cellFreedom / float64(n))
		// A thousandth: cells are cut off at three spreads, which is known for normal ones only.
		if d := math.Abs(mean - 1); d > 4*limit/math.Sqrt(seeds)+0.001 {
			t.Errorf("%d cells: variance %.5f, want 1 within %.5f", n, mean, 4*limit/math.Sqrt(seeds)+0.001)
		}
		// The spread of a spread over 300 seeds is 4 %.
		if spread > 1.15*limit || math.Abs(claimed/spread-1) > 0.16 {
			t.Errorf("%d cells: spread %.4f, limit %.4f, claimed %.4f", n, spread, limit, claimed)
		}
	}
}

// TestMovingCells: a share of cells with 1.2 to 20 times the variance moves sigma by little. For
// comparison: the plain standard deviation of pixels with 20 times the noise in 1, 5, 10, 20 % of
// them is 2.23, 4.58, 6.39, 9.00 times too large (worked with numpy).
func TestMovingCells(t *testing.T) {
	for _, tc := range []struct{ moving, most float64 }{{0.01, 0.001}, {0.05, 0.001}, {0.1, 0.002}, {0.2, 0.003}, {0.4, 0.006}} {
		mean, spread, claimed := estimates(400, 150, cellFreedom, tc.moving)
		if sigma := math.Sqrt(mean); math.Abs(sigma-1) > tc.most {
			t.Errorf("%.0f %% moving: sigma %.4f, may be off by %.3f", 100*tc.moving, sigma, tc.most)
		}
		if spread > 1.35*claimed {
			t.Errorf("%.0f %% moving: spread %.4f, claimed %.4f", 100*tc.moving, spread, claimed)
		}
	}
}

// TestQuietCellsOfNothing: no cells, one cell, cells without noise.
func TestQuietCellsOfNothing(t *testing.T) {
	if kept, v, relative := quietCells(nil, cellFreedom); kept != nil || !math.IsNaN(v) || !math.IsNaN(relative) {
		t.Errorf("no cells: %v %v %v", kept, v, relative)
	}
	if kept, v, _ := quietCells([]cellNoise{{variance: 2}}, cellFreedom); len(kept) != 1 || math.Abs(v-2) > 0.01 {
		t.Errorf("one cell: %v %v", kept, v)
	}
	if kept, v, _ := quietCells(make([]cellNoise, 50), cellFreedom); v != 0 || len(kept) != 50 {
		t.Errorf("no noise: variance %v of %d cells", v, len(kept))
	}
}

// TestChiSquaredFactors: medians and 16th percentiles of chi-squared over its freedom (scipy
// 1.10, stats.chi2.ppf), and the mean of a normal distribution cut off above three spreads.
func TestChiSquaredFactors(t *testing.T) {
	for _, tc := range []struct{ p, freedom, want float64 }{
		{0.5, 15, 0.95592}, {0.5, 63, 0.98944}, {0.5, 127, 0.99476}, {0.5, 255, 0.99739}, {0.16, 255, 0.912}, {0.16, 15, 0.645},
	} {
		digits := 5e-6
		if tc.p != 0.5 {
			digits = 5e-4
		}
		if got := chiQuantile(tc.p, tc.freedom); math.Abs(got-tc.want) > digits {
			t.Errorf("quantile %.2f of freedom %.0f: %.5f, want %.5f", tc.p, tc.freedom, got, tc.want)
		}
	}
	// E[z | z < 3] = -phi(3)/Phi(3) = -0.0044318/0.9986501.
	if got, want := cutMean(0.1), 1-0.1*0.0044318/0.9986501; math.Abs(got-want) > 1e-7 {
		t.Errorf("mean of the cut distribution %.7f, want %.7f", got, want)
	}
}

// TestOverlappingPairs: equivalent degrees of freedom of n overlapping pairs, simulated within
// 2 % (numpy): 1, 1.6, 2.91, 5.57, 10.89 for 1, 2, 4, 8, 16 pairs.
func TestOverlappingPairs(t *testing.T) {
	for pairs, want := range map[int]float64{1: 1, 2: 1.6, 4: 2.91, 8: 5.57, 16: 10.89} {
		if got := pairFreedom(pairs); math.Abs(got-want) > 0.005 {
			t.Errorf("%d pairs are worth %.3f, want %.2f", pairs, got, want)
		}
	}
}

// TestIntervalsHoldTheTruth measures four tones in many small clips, noise white and shared by
// neighbours ([1 1]/2 across and down): the truth lies in 95 % of the intervals, and errors are
// as large as claimed.
func TestIntervalsHoldTheTruth(t *testing.T) {
	bars := synth.Scene{}
	levels := []float64{0.03, 0.06, 0.18, 0.5}
	for i, level := range levels {
		bars.Parts = append(bars.Parts, synth.NewPanel(synth.Rect(64*float64(i), -1, 64, 66), synth.Grey(level), 1))
	}
	for name, grain := range map[string]synth.Grain{"white": synth.White, "shared": synth.Shared} {
		t.Run(name, func(t *testing.T) {
			cam := camera(t, "S-Log3")
			cam.Width, cam.Height, cam.Sampling, cam.Grain = 256, 64, synth.S420, grain
			cam.Noise = synth.Noise{Read: 0.002, Shot: 0.0004}
			var n, held, heldSNR, square float64
			for seed := range uint64(60) {
				f := expose(t, cam, synth.Shot{Scene: bars, Frames: 4, Seed: seed})
				tones := measure(t, f, settings(cam)).Noise.Tones
				for _, level := range levels {
					tone := nearest(tones, level)
					z := (tone.SigmaCode/f.truth.SigmaCode(f.truth.Reading.CodeOf(level)) - 1) / tone.Relative
					square += z * z
					held += float64(count(math.Abs(z) < 1.96))
					_, low, high := tone.SNR()
					snr := 20 * math.Log10(level/f.truth.SigmaLinear(level))
					heldSNR += float64(count(low < snr && snr < high))
					n++
				}
			}
			t.Logf("%.1f %% of intervals of sigma, %.1f %% of those of the SNR hold the truth; error / claimed %.2f", 100*held/n, 100*heldSNR/n, math.Sqrt(square/n))
			// Four standard errors of 240 trials are 5.6 %, of a standard deviation 18 %.
			if held/n < 0.95-0.056 || heldSNR/n < 0.95-0.056 || math.Abs(math.Sqrt(square/n)-1) > 0.2 {
				t.Errorf("%.1f %% and %.1f %% of the intervals hold the truth, want 95; errors are %.2f of what is claimed", 100*held/n, 100*heldSNR/n, math.Sqrt(square/n))
			}
		})
	}
}

// nearest returns the tone nearest to a level of light.
func nearest(tones []Tone, linear float64) (best Tone) {
	miss := math.Inf(1)
	for _, tone := range tones {
		if d := math.Abs(math.Log(tone.Linear / linear)); d < miss {
			best, miss = tone, d
		}
	}
	return best
}

// TestGrainIsMeasured: the side of a grain is the root of the sum of correlations, 1 for white
// noise and 2 for noise shared by two neighbours each way.
func TestGrainIsMeasured(t *testing.T) {
	for grain, want := range map[synth.Grain]float64{synth.White: 1, synth.Shared: 2} {
		cam := camera(t, "S-Log3")
		cam.Width, cam.Height, cam.Sampling, cam.Grain = 256, 160, synth.S444, grain
		cam.Noise = synth.Noise{Read: 0.004, Shot: 0.0008}
		grey := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}}}
		r := measure(t, expose(t, cam, synth.Shot{Scene: grey, Frames: 4, Seed: 6}), settings(cam))
		if math.Abs(r.Noise.GrainPx/want-1) > grainShare {
			t.Errorf("grain of %.3f samples, want %.0f", r.Noise.GrainPx, want)
		}
		for i, got := range r.Noise.ChannelGrain {
			if math.Abs(got/want-1) > grainShare {
				t.Errorf("channel %d: grain of %.3f samples, want %.0f", i, got, want)
			}
		}
	}
}

// TestGrainTakenFromCells: noise filtered by [1 1]/2 both ways has correlation 1/2 to the next
// sample; a cell less its mean and tilt then keeps (256 - 10.78)/253 of what white noise would:
// per axis 1 + 15/16 of it goes into a mean and 1 + 13/16 into a tilt.
func TestGrainTakenFromCells(t *testing.T) {
	mean, tilt := 1+15.0/16, 1+13.0/16
	want := (256 - mean*mean - 2*mean*tilt) / 253
	random := rand.New(rand.NewPCG(3, 4))
	var cells []detailCell
	for range 400 {
		var white [17][17]float32
		for y := range white {
			for x := range white[y] {
				white[y][x] = float32(random.NormFloat64())
			}
		}
		var d [cellArea]float32
		for y := range 16 {
			for x := range 16 {
				d[16*y+x] = (white[y][x] + white[y+1][x] + white[y][x+1] + white[y+1][x+1]) / 2
			}
		}
		removePlane(&d)
		var c detailCell
		c.differences(&d)
		cells = append(cells, c)
	}
	g := grainOf(cells, func(detailCell) bool { return true })
	if math.Abs(g.kept-want) > 0.004 || math.Abs(g.length/2-1) > grainShare || math.Abs(g.squares-2.25) > 0.1 {
		t.Errorf("grain %+v, want length 2, squares 2.25, kept %.4f", g, want)
	}
	// Differences have the variance 1 here, one frame's noise half of it.
	var variance float64
	for _, c := range cells {
		variance += c.variance / 400 / g.kept
	}
	if math.Abs(variance-0.5) > 4*0.5*math.Sqrt(2*2.25/256/400) {
		t.Errorf("variance %.4f, want 0.5", variance)
	}
}
