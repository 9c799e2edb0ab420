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
	cut        float64 // sigma with the cells that coding may have made noisy, left out of it / sigma
	doubted    bool    // the model contradicts it: sigma is not told
	coding     float64 // standard error of sigma / sigma by what coding took
}

// error returns the standard error of sigma / sigma: of the sample, and of what no sample tells.
func (t tone) error() float64 { return math.Hypot(t.relative, systematic/2) }

// snr returns light / sigma, NaN where either is unknown or there is no light.
func (t tone) snr() float64 {
	if !(t.light > 0) || !(t.sigmaLight > 0) {
		return math.NaN()
	}
	return float64(t.light) / t.sigmaLight
}

// systematicCoded is systematic where coding is lossy: it treats cells of one tone differently.
const systematicCoded = 0.06

// cutWeight is by how much more than the cells within coding's reach those beyond it may add.
const cutWeight = 2

// interval returns how far below and above a tone's SNR its interval reaches, dB. Lossy coding leaves
// more noise in some cells than in others, and what was cut off as moving may be that.
func (t tone) interval(lossy bool) (low, high curve.Decibels) {
	spread := 20 * math.Log10(1+1.96*t.error())
	if !lossy {
		return curve.Decibels(spread), curve.Decibels(spread)
	}
	spread = 20 * math.Log10(1+1.96*math.Hypot(t.relative, systematicCoded/2))
	return curve.Decibels(spread + cutWeight*20*math.Log10(max(t.cut, 1))), curve.Decibels(spread)
}

// result returns the tone on the 10-bit scale, without its noise where no figure is given.
func (t tone) result(r curve.Reading, lossy, hidden bool) Tone {
	code := func(v float64) curve.Code { return r.Code(curve.FileCode(v)) }
	unknown := curve.Unknown[curve.Decibels]()
	out := Tone{Recorded: t.light.Stops(), Code: r.Code(t.code), SigmaCode: code(t.sigma), Below: code(math.NaN()),
		SigmaLinear: curve.Light(t.sigmaLight), SNR: unknown, Low: unknown, High: unknown, Cells: t.cells,
		Fixed: code(t.fixed), Row: code(t.row), Column: code(t.column),
		Light: t.light, Relative: curve.Ratio(t.relative), Samples: t.samples}
	if math.IsInf(float64(out.Recorded), -1) {
		out.Recorded = DarkestTone
	}
	switch {
	case hidden:
		out.SigmaCode, out.SigmaLinear = curve.Code(math.NaN()), curve.Unknown[curve.Light]()
		out.Relative = curve.Unknown[curve.Ratio]()
	case math.IsNaN(t.sigma) && !t.doubted:
		out.Below = r.Code(LeastSigma)
	}
	if !hidden {
		low, high := t.interval(lossy)
		out.SNR = curve.Decibels(20 * math.Log10(t.snr()))
		out.Low, out.High = out.SNR-low, out.SNR+high
	}
	return out
}

// results returns tones on the 10-bit scale; never nil.
func results(tones []tone, r curve.Reading, lossy, hidden bool) []Tone {
	out := []Tone{}
	for _, t := range tones {
		out = append(out, t.result(r, lossy, hidden))
	}
	return out
}
