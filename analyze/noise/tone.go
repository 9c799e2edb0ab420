package noise

import (
	"math"

	"stopledger/curve"
)

// systematic is the part of a tone's variance that its formal error does not cover: the curve's
// slope within a cell, coding, slight texture. Common practice, no source.
const systematic = 0.03

// A tone is the noise at one level in file codes; NaN where unknown.
type tone struct {
	light      curve.Light    // mean of the cells
	code       curve.FileCode // their mean
	sigma      float64        // file codes
	sigmaLight float64        // in scene-linear light
	relative   float64        // standard error of sigma / sigma
	cells      int
	samples    float64 // effective sample size
	fixed      float64 // standing pattern, file codes
	row        float64 // of it, banding by rows
	column     float64
}

// snr returns light / sigma, NaN where either is unknown or there is no light.
func (t tone) snr() float64 {
	if !(t.light > 0) || !(t.sigmaLight > 0) {
		return math.NaN()
	}
	return float64(t.light) / t.sigmaLight
}

// result returns the tone on the 10-bit scale, without its SNR where the recording hides noise.
func (t tone) result(r curve.Reading, suppressed bool) Tone {
	code := func(v float64) curve.Code { return r.Code(curve.FileCode(v)) }
	unknown := curve.Unknown[curve.Decibels]()
	out := Tone{Recorded: t.light.Stops(), Code: r.Code(t.code), SigmaCode: code(t.sigma), Below: code(math.NaN()),
		SigmaLinear: curve.Light(t.sigmaLight), SNR: unknown, Low: unknown, High: unknown, Cells: t.cells,
		Fixed: code(t.fixed), Row: code(t.row), Column: code(t.column),
		Light: t.light, Relative: curve.Ratio(t.relative), Samples: t.samples}
	if math.IsInf(float64(out.Recorded), -1) {
		out.Recorded = DarkestTone
	}
	if math.IsNaN(t.sigma) {
		out.Below = r.Code(LeastSigma)
	}
	if !suppressed {
		// The interval is of the sample, and of what no sample tells.
		spread := curve.Decibels(20 * math.Log10(1+1.96*math.Hypot(t.relative, systematic/2)))
		out.SNR = curve.Decibels(20 * math.Log10(t.snr()))
		out.Low, out.High = out.SNR-spread, out.SNR+spread
	}
	return out
}

// results returns tones on the 10-bit scale; never nil.
func results(tones []tone, r curve.Reading, suppressed bool) []Tone {
	out := []Tone{}
	for _, t := range tones {
		out = append(out, t.result(r, suppressed))
	}
	return out
}
