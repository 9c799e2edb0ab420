package synth

import (
	"math"

	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/synth/random"
)

// Truth is what is known of a shot because it was made so. Light is luma-equivalent: what a
// reader gets who decodes Y' by the curve. It is exact for neutrals; codecs are not in it.
type Truth struct {
	Reading curve.Reading // how codes are to be read
	Matrix  curve.Matrix  // luma weights
	Frames  int           // of the shot

	Placement     curve.Stops   // of an 18 % grey over 0.18, mean over the frames
	PlacementFrom string        // name of the mark it holds for, "exposure" where there is none
	Series        []curve.Stops // placement of each frame, NaN where the mark is out of it
	Regions       []Region      // marks that are in the frame at some time

	// Noise is the temporal noise of luma at a neutral: the three channels' noise with their
	// white balance gains, weighted by Kr, Kg, Kb.
	Noise      Noise
	FloorStops curve.Stops // recorded stops at which SNR is 1

	Ceilings    [3]curve.Code // of R', G', B', on luma's scale
	CeilingLuma curve.Code    // luma where all three clip
	Clipped     ClipShares    // mean over the frames, counted at the sensor
	ClippedEach []ClipShares  // of each frame

	// ChromaSubsampled: R', G', B' rebuilt from the file are blurred, so that a channel's
	// noise and clipping cannot be found again pixel for pixel.
	ChromaSubsampled bool

	channels [3]channel
	grain    Grain
	tone     func(linear float64) float64 // luma file code of light, unrounded
}

// A Region is a mark as the camera sees it.
type Region struct {
	Mark
	Quads []geometry.Quad // corners in frame pixels, one a frame; one in all if it does not move
	// Inside is the largest upright rectangle found 2 pixels inside the quad and inside the
	// frame, one for each quad; its size is 0 where there is none.
	Inside []geometry.Rect
	Linear []curve.Light // mean light, without noise and ceiling, one a frame; NaN out of frame
}

// Rect returns the rectangle inside the mark at a frame.
func (r Region) Rect(frame int) geometry.Rect { return r.Inside[min(frame, len(r.Inside)-1)] }

// Corners returns the quad at a frame.
func (r Region) Corners(frame int) geometry.Quad { return r.Quads[min(frame, len(r.Quads)-1)] }

// Region returns the first region of a name.
func (t Truth) Region(name string) (Region, bool) {
	for _, r := range t.Regions {
		if r.Name == name {
			return r, true
		}
	}
	return Region{}, false
}

// SigmaLinear returns the standard deviation of luma-equivalent light at a neutral: the model
// sqrt(Read^2 + Shot L), which leaves out the ceiling and the curve's bend within the noise.
func (t Truth) SigmaLinear(l curve.Light) curve.Light { return t.Noise.Sigma(l) }

// SigmaCode returns the standard deviation of luma, without rounding, at a neutral whose noiseless
// luma is code. It is integrated over the distribution of light
// through curve and ceiling, so it holds near black and near the ceiling as well.
func (t Truth) SigmaCode(code curve.Code) curve.Code {
	linear := float64(t.Reading.Light(t.Reading.FileCode(code)))
	variance := 0.0
	for c, k := range weights(t.Matrix) {
		variance += sq(k * t.channels[c].sigmaCode(linear, t.grain, t.tone))
	}
	return t.Reading.Code(curve.FileCode(math.Sqrt(variance)))
}

func weights(m curve.Matrix) [3]float64 { return [3]float64{m.Kr, m.Kg(), m.Kb} }

// sigmaCode integrates code and code squared over the channel's distribution of light: normal,
// or, where few electrons are drawn one by one, normal around each number of electrons.
func (c channel) sigmaCode(linear float64, grain Grain, tone func(float64) float64) float64 {
	var w, sum, sumSq float64
	add := func(weight, light float64) {
		v := tone(min(light, c.ceiling))
		w, sum, sumSq = w+weight, sum+weight*v, sumSq+weight*v*v
	}
	mean := linear / c.shot
	if grain != White || !(mean < random.PoissonBelow) || linear <= 0 {
		normal(linear, math.Sqrt(c.readVar+c.shot*max(linear, 0)), 1, 600, add)
	} else {
		p := math.Exp(-mean)
		for k := range random.MostCounts {
			normal(float64(k)*c.shot, math.Sqrt(c.readVar), p, 60, add)
			p *= mean / float64(k+1)
		}
	}
	m := sum / w
	return math.Sqrt(max(sumSq/w-m*m, 0))
}

// normal spreads a weight over +-6 standard deviations (midpoint rule).
func normal(mean, sd, weight float64, steps int, add func(weight, light float64)) {
	total := 0.0
	for i := range steps {
		total += bell(i, steps)
	}
	for i := range steps {
		z := (float64(i)+0.5)/float64(steps)*12 - 6
		add(weight*bell(i, steps)/total, mean+sd*z)
	}
}

func bell(i, steps int) float64 {
	z := (float64(i)+0.5)/float64(steps)*12 - 6
	return math.Exp(-z * z / 2)
}
