package noise

import (
	"fmt"
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// checkTones compares every tone between low and high recorded stops with the truth, but for
// those in whose noise the curve has its kink: there a cell's mean does not tell its noise.
func checkTones(t *testing.T, tones []Tone, truth synth.Truth, low, high curve.Stops, tolerance float64) {
	t.Helper()
	seen := 0
	for _, tone := range tones {
		want := truth.SigmaCode(tone.Code)
		hidden := truth.Reading.FileCode(want) < 1.1*LeastSigma // by whole codes
		if tone.Recorded < low || tone.Recorded > high || hidden || kinked(truth, tone) {
			continue
		}
		seen++
		if off := float64(tone.SigmaCode/want - 1); !(math.Abs(off) <= tolerance) {
			t.Errorf("%+.2f stops (code %.1f, %d cells): sigma %.3f codes, want %.3f (%+.1f %%, tolerance %.0f %%)",
				tone.Recorded, tone.Code, tone.Cells, tone.SigmaCode, want, 100*off, 100*tolerance)
		}
	}
	if seen < 6 {
		t.Errorf("only %d tones between %+.0f and %+.0f stops could be compared", seen, low, high)
	}
}

// kinked tells whether the curve's kink lies in a tone: noise in codes then jumps within it.
func kinked(truth synth.Truth, tone Tone) bool {
	r := truth.Reading
	at := func(k curve.Light) float64 {
		return math.Log(float64(truth.SigmaCode(r.Code(r.CodeOf(tone.Light * k)))))
	}
	return math.Abs(at(0.82)-2*at(1)+at(1/0.82)) > 0.03
}

// TestNoise measures tiles of known tone through the synthetic camera: three curves, read noise
// 0.0003 .. 0.006, shot noise 0.00003 .. 0.002, the camera still and panning by three pixels a
// frame, a moving subject, and mains flicker.
func TestNoise(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	levels := []synth.Noise{{Read: 0.0003, Shot: 0.00003}, {Read: 0.0012, Shot: 0.0003}, {Read: 0.006, Shot: 0.002}}
	motions := map[string]synth.Shot{
		"still":   {},
		"subject": {},
		"pan":     {Pan: geometry.Point{X: 3}},
		"flicker": {Flicker: synth.Flicker{Depth: 0.3, MainsHz: 60, ShutterS: 1.0 / 50}},
	}
	for _, name := range []string{"S-Log3", "LogC3", "V-Log"} {
		for _, level := range levels {
			for motion, shot := range motions {
				t.Run(fmt.Sprintf("%s/read %g/%s", name, float64(level.Read), motion), func(t *testing.T) {
					cam := camera(t, name)
					cam.Noise, cam.Width, cam.Height = level, 512, 288
					shot.Scene, shot.Frames, shot.Seed = synth.TestTiles(cam.Width, cam.Height), 10, 7
					if motion == "subject" {
						shot.Scene.Parts = append(shot.Scene.Parts, passerBy(cam.Width, cam.Height))
					}
					r, truth := expose(t, cam, shot)
					checkTones(t, r.Tones, truth, -6, 1, sigmaLossless)
					if d := float64(r.Floor - truth.FloorStops); !(math.Abs(d) <= floorLossless) {
						t.Errorf("floor %+.2f stops, want %+.2f", r.Floor, truth.FloorStops)
					}
					checkModel(t, r, truth.Noise)
					if r.Suppressed {
						t.Errorf("lossless noise is called suppressed: %s", r.Reason)
					}
				})
			}
		}
	}
}

// passerBy is a figure that walks across a third of the frame in a second.
func passerBy(width, height int) synth.Part {
	w, h := float64(width), float64(height)
	return synth.Figure{X: 0.3 * w, Y: 0.9 * h, Height: 0.6 * h,
		Coat: synth.Light{0.5, 0.15, 0.03}, Trousers: synth.Grey(0.03), Skin: synth.Light{0.36, 0.25, 0.19},
		Steps: 1.8, Path: synth.Steadily(0.33*w, 0), Soft: 2}
}

// checkModel compares read and shot noise.
func checkModel(t *testing.T, r Result, truth synth.Noise) {
	t.Helper()
	m := r.Model
	if m == nil {
		t.Errorf("no model: %s", r.ModelReason)
		return
	}
	if d := float64(m.Read/truth.Read - 1); math.Abs(d) > modelParts {
		t.Errorf("read noise %.3g, want %.3g (%+.0f %%)", m.Read, truth.Read, 100*d)
	}
	if d := float64(m.Shot/truth.Shot - 1); math.Abs(d) > modelParts {
		t.Errorf("shot noise %.3g, want %.3g (%+.0f %%)", m.Shot, truth.Shot, 100*d)
	}
}

// TestNoiseEfficiency spreads the estimate of one tone over seeds: it must come within 1.5 times
// of sqrt(2/N), the limit for N samples, in variance, and be unbiased within four standard
// errors.
func TestNoiseEfficiency(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height = 128, 96
	cam.Noise = synth.Noise{Read: 0.002, Shot: 0.0004}
	grey := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.05)}}}
	const seeds = 50
	var sum, square float64
	var truth synth.Truth
	for seed := range uint64(seeds) {
		var r Result
		r, truth = expose(t, cam, synth.Shot{Scene: grey, Frames: 8, Seed: seed + 1})
		sigma := float64(mainTone(r.Tones).SigmaCode)
		sum += sigma * sigma
		square += sigma * sigma * sigma * sigma
	}
	// Samples of all differences, less the third that overlapping pairs share.
	limit := 2 / (float64(cam.Width*cam.Height) * pairFreedom(7))
	want := float64(truth.SigmaCode(truth.Reading.Code(truth.Reading.CodeOf(0.05))))
	want *= want
	mean := sum / seeds
	spread := math.Sqrt((square/seeds - mean*mean) * seeds / (seeds - 1))
	t.Logf("variance %.4f, want %.4f; spread %.4f, limit %.4f", mean, want, spread/want, math.Sqrt(limit))
	if spread/want > 1.5*math.Sqrt(limit) {
		t.Errorf("spread %.4f of the variance, at most %.4f", spread/want, 1.5*math.Sqrt(limit))
	}
	if math.Abs(mean/want-1) > 4*math.Sqrt(limit/seeds)+0.004 {
		t.Errorf("variance %.4f, want %.4f", mean, want)
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

// bars are surfaces of these levels side by side, 64 pixels wide.
func bars(levels []curve.Light) (s synth.Scene) {
	for i, level := range levels {
		s.Parts = append(s.Parts, synth.NewPanel(geometry.Upright(64*float64(i), -1, 64, 66), synth.Grey(level), 1))
	}
	return s
}

// TestIntervalsHoldTheTruth measures four tones in many small clips, noise white and shared by
// neighbours ([1 1]/2 across and down): the truth lies in 95 % of the intervals, and errors are
// as large as claimed.
func TestIntervalsHoldTheTruth(t *testing.T) {
	levels := []curve.Light{0.03, 0.06, 0.18, 0.5}
	for name, grain := range map[string]synth.Grain{"white": synth.White, "shared": synth.Shared} {
		t.Run(name, func(t *testing.T) {
			cam := camera(t, "S-Log3")
			cam.Width, cam.Height, cam.Sampling, cam.Grain = 256, 64, synth.S420, grain
			cam.Noise = synth.Noise{Read: 0.002, Shot: 0.0004}
			var n, held, heldSNR, square float64
			for seed := range uint64(60) {
				r, truth := expose(t, cam, synth.Shot{Scene: bars(levels), Frames: 4, Seed: seed})
				for _, level := range levels {
					tone := nearest(r.Tones, level)
					want := truth.SigmaCode(truth.Reading.Code(truth.Reading.CodeOf(level)))
					z := (float64(tone.SigmaCode/want) - 1) / float64(tone.Relative)
					square += z * z
					held += count(math.Abs(z) < 1.96)
					snr := curve.Decibels(20 * math.Log10(float64(level/truth.SigmaLinear(level))))
					heldSNR += count(tone.Low < snr && snr < tone.High)
					n++
				}
			}
			t.Logf("%.1f %% of intervals of sigma, %.1f %% of those of the SNR hold the truth; error / claimed %.2f",
				100*held/n, 100*heldSNR/n, math.Sqrt(square/n))
			// Four standard errors of 240 trials are 5.6 %, of a standard deviation 18 %.
			if held/n < 0.95-0.056 || heldSNR/n < 0.95-0.056 || math.Abs(math.Sqrt(square/n)-1) > 0.2 {
				t.Errorf("%.1f %% and %.1f %% of the intervals hold the truth, want 95; errors are %.2f as claimed",
					100*held/n, 100*heldSNR/n, math.Sqrt(square/n))
			}
		})
	}
}

func count(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}
