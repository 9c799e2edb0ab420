package noise

import (
	"fmt"
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/synth"
)

// flatField exposes one grey level and returns its tone.
func flatField(t testing.TB, cam synth.Camera, level curve.Light, frames int) (Result, Tone) {
	t.Helper()
	grey := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(level)}}}
	r, _ := expose(t, cam, synth.Shot{Scene: grey, Frames: frames, Seed: 12})
	return r, nearest(r.Tones, level)
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
		for _, level := range []curve.Light{0.05, 0.3} {
			t.Run(fmt.Sprintf("%s at %g", name, float64(level)), func(t *testing.T) {
				cam := camera(t, "S-Log3")
				cam.Width, cam.Height, cam.Sampling, cam.Pattern = 384, 256, synth.S420, p
				cam.Noise = synth.Noise{Read: 0.002, Shot: 0.0001}
				_, tone := flatField(t, cam, level, 4)
				reading, m := cam.Reading(), cam.Matrix
				perCode := reading.LightPerCode(reading.CodeOf(level))
				weights := m.Kr*m.Kr + m.Kg()*m.Kg() + m.Kb*m.Kb
				bands := float64(p.Rows*p.Rows + p.Columns*p.Columns)
				pixels := weights * (math.Pow(p.PRNU*float64(level), 2) + float64(p.DSNU*p.DSNU))
				want := math.Sqrt(pixels+bands) / perCode
				// What temporal noise leaves in a mean of two frames must not pass for a pattern.
				noise := float64(tone.SigmaCode) / math.Sqrt2
				checkPart(t, "pattern", tone.Fixed, want, noise)
				checkPart(t, "rows", tone.Row, float64(p.Rows)/perCode, math.Hypot(noise, want)/4)
				checkPart(t, "columns", tone.Column, float64(p.Columns)/perCode, math.Hypot(noise, want)/4)
			})
		}
	}
}

// checkPart compares a pattern, or, where there is none, sees that it stays below a part of what
// else is in the picture.
func checkPart(t *testing.T, what string, got curve.Code, want, other float64) {
	t.Helper()
	if !(math.Abs(float64(got)-want) <= patternShare*want+patternRest*other) {
		t.Errorf("%s: %.3f codes, want %.3f; beside %.3f of other things", what, float64(got), want, other)
	}
}

// sigmaThrough integrates normal light through a curve: the standard deviation in file codes.
func sigmaThrough(r curve.Reading, light, sigma float64) float64 {
	var sum, square, weight float64
	for z := -6.0; z <= 6; z += 0.01 {
		w := math.Exp(-z * z / 2)
		code := float64(r.CodeOf(curve.Light(light + z*sigma)))
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
	const read, shot = 0.002, 0.0004
	for _, tc := range []struct {
		sampling  synth.Sampling
		tolerance float64
	}{{synth.S444, channelFull}, {synth.RGB, channelFull}, {synth.S422, channelHalved}} {
		for _, level := range []float64{0.03, 0.18, 0.5} {
			cam := camera(t, "S-Log3")
			cam.Width, cam.Height, cam.Sampling, cam.Gains = 512, 320, tc.sampling, gains
			cam.Noise = synth.Noise{Read: read, Shot: shot}
			r, _ := flatField(t, cam, curve.Light(level), 4)
			var sigma [3]float64
			for i, g := range gains {
				sigma[i] = sigmaThrough(cam.Reading(), level, math.Sqrt(g*g*read*read+g*shot*level))
			}
			for i, want := range sigma {
				if tc.sampling == synth.S422 {
					want = halvedSigma(cam.Matrix, sigma, i)
				}
				tone := nearest(r.Channels[i].Tones, curve.Light(level))
				if off := float64(tone.SigmaCode)/want - 1; !(math.Abs(off) <= tc.tolerance) {
					t.Errorf("sampling %v, light %g, channel %d: sigma %.3f codes, want %.3f (%+.1f %%)",
						tc.sampling, level, i, tone.SigmaCode, want, 100*off)
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
		own := count(c == channel)
		for _, factor := range []float64{(own - k) / 4, k/2 + (own-k)/2, k/2 + (own-k)/4} {
			variance += factor * factor * sigma[c] * sigma[c]
		}
	}
	return math.Sqrt(variance)
}
