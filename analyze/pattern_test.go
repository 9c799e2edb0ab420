package analyze

import (
	"fmt"
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/synth"
)

// flatField exposes one grey level and returns its main tone.
func flatField(t testing.TB, cam synth.Camera, level float64, frames int) (*Result, Tone, synth.Truth) {
	t.Helper()
	grey := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(level)}}}
	f := expose(t, cam, synth.Shot{Scene: grey, Frames: frames, Seed: 12})
	r := measure(t, f, settings(cam))
	return r, nearest(r.Noise.Tones, level), f.truth
}

// TestFixedPattern measures pixel gains and offsets, rows and columns that stay in place. Pixels
// of the three channels are independent and add up in luma by the squares of their weights; rows
// and columns are the same in all three.
func TestFixedPattern(t *testing.T) {
	for name, p := range map[string]synth.Pattern{
		"none":            {},
		"gains":           {PRNU: 0.04},
		"offsets":         {DSNU: 0.003},
		"rows":            {Rows: 0.003},
		"columns":         {Columns: 0.003},
		"all":             {PRNU: 0.02, DSNU: 0.002, Rows: 0.0015, Columns: 0.003},
		"less than noise": {DSNU: 0.0012},
	} {
		for _, level := range []float64{0.05, 0.3} {
			t.Run(fmt.Sprintf("%s at %g", name, level), func(t *testing.T) {
				cam := camera(t, "S-Log3")
				cam.Width, cam.Height, cam.Sampling, cam.Pattern = 384, 256, synth.S420, p
				cam.Noise = synth.Noise{Read: 0.002, Shot: 0.0001}
				r, tone, _ := flatField(t, cam, level, 4)
				perCode := r.Reading.LinearPerCode(r.Reading.CodeOf(level))
				m := cam.Matrix
				weights := m.Kr*m.Kr + m.Kg()*m.Kg() + m.Kb*m.Kb
				bands := p.Rows*p.Rows + p.Columns*p.Columns
				want := math.Sqrt(weights*(math.Pow(p.PRNU*level, 2)+p.DSNU*p.DSNU)+bands) / perCode
				// What temporal noise leaves in a mean of two frames must not pass for a pattern.
				noise := tone.SigmaCode / math.Sqrt2
				checkPart(t, "pattern", tone.Fixed, want, noise)
				checkPart(t, "rows", tone.Row, p.Rows/perCode, math.Hypot(noise, want)/4)
				checkPart(t, "columns", tone.Column, p.Columns/perCode, math.Hypot(noise, want)/4)
			})
		}
	}
}

// checkPart compares a pattern, or, where there is none, sees that it stays below a part of what
// else is in the picture.
func checkPart(t *testing.T, what string, got, want, other float64) {
	t.Helper()
	if !(math.Abs(got-want) <= patternShare*want+patternRest*other) {
		t.Errorf("%s: %.3f codes, want %.3f; beside %.3f of other things", what, got, want, other)
	}
}

// TestPatternOfPatches measures the pattern of an area the user points at from all frames of
// each group, and every frame: a last group of one frame adds nothing.
func TestPatternOfPatches(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Sampling = 128, 96, synth.S420
	cam.Noise, cam.Pattern = synth.Noise{Read: 0.002, Shot: 0.0001}, synth.Pattern{DSNU: 0.003}
	grey := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}}}
	for _, frames := range []int{8, 25} {
		f := expose(t, cam, synth.Shot{Scene: grey, Frames: frames, Seed: 4})
		set := settings(cam)
		set.EveryFrame = true
		set.Patches = []Patch{patchOf(synth.PixelRect{X: 5, Y: 3, W: 110, H: 85}, 0.18)}
		got := measure(t, f, set).Noise.Patches[0]
		m := cam.Matrix
		want := 0.003 * math.Sqrt(m.Kr*m.Kr+m.Kg()*m.Kg()+m.Kb*m.Kb) / f.truth.Reading.LinearPerCode(420)
		if !(math.Abs(got.Fixed/want-1) <= patternShare) {
			t.Errorf("%d frames: pattern of %.3f codes, want %.3f", frames, got.Fixed, want)
		}
		if want := f.truth.SigmaCode(420); !(math.Abs(got.Temporal/want-1) <= sigmaLossless/2) {
			t.Errorf("%d frames: noise of %.3f codes, want %.3f", frames, got.Temporal, want)
		}
	}
}

// sigmaThrough integrates normal light through a curve: the standard deviation in file codes.
func sigmaThrough(r curve.Reading, light, sigma float64) float64 {
	var sum, square, weight float64
	for z := -6.0; z <= 6; z += 0.01 {
		w := math.Exp(-z * z / 2)
		code := r.CodeOf(light + z*sigma)
		sum += w * code
		square += w * code * code
		weight += w
	}
	mean := sum / weight
	return math.Sqrt(square/weight - mean*mean)
}

// TestChannelNoise compares the noise of R', G' and B' with the camera's own, white balance gains
// included: exact in 4:4:4 and RGB; in 4:2:2 a channel is the mean luma of two pixels plus
// chroma filtered by [1 2 1]/4.
func TestChannelNoise(t *testing.T) {
	gains := [3]float64{1.6, 1, 1.3}
	noise := synth.Noise{Read: 0.002, Shot: 0.0004}
	for _, tc := range []struct {
		sampling  synth.Sampling
		tolerance float64
	}{{synth.S444, channelFull}, {synth.RGB, channelFull}, {synth.S422, channelHalved}} {
		for _, level := range []float64{0.03, 0.18, 0.5} {
			cam := camera(t, "S-Log3")
			cam.Width, cam.Height, cam.Sampling, cam.Gains, cam.Noise = 512, 320, tc.sampling, gains, noise
			r, _, _ := flatField(t, cam, level, 4)
			var sigma [3]float64
			for i, g := range gains {
				sigma[i] = sigmaThrough(r.Reading, level, math.Sqrt(g*g*noise.Read*noise.Read+g*noise.Shot*level))
			}
			for i, want := range sigma {
				if tc.sampling == synth.S422 {
					want = halvedSigma(cam.Matrix, sigma, i)
				}
				tone := nearest(r.Noise.Channels[i], level)
				if !(math.Abs(tone.SigmaCode/want-1) <= tc.tolerance) {
					t.Errorf("%s, light %g, channel %d: sigma %.3f codes, want %.3f (%+.1f %%)", chromaNames[tc.sampling], level, i, tone.SigmaCode, want, 100*(tone.SigmaCode/want-1))
				}
			}
		}
	}
}

// halvedSigma is the noise of one channel rebuilt from 4:2:2. With own = R' - Y' and pixels -1,
// 0, 1 around the chroma sample, R' = (Y0 + Y1)/2 + own(-1)/4 + own(0)/2 + own(1)/4.
func halvedSigma(m curve.Matrix, sigma [3]float64, channel int) float64 {
	weights := [3]float64{m.Kr, m.Kg(), m.Kb}
	var variance float64
	for c, k := range weights {
		own := float64(count(c == channel))
		for _, factor := range []float64{(own - k) / 4, k/2 + (own-k)/2, k/2 + (own-k)/4} {
			variance += factor * factor * sigma[c] * sigma[c]
		}
	}
	return math.Sqrt(variance)
}
