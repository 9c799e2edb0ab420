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
	relative   float64        // standard error of sigma / sigma; of the least that can be told where sigma is unknown
	cells      int
	samples    float64 // effective sample size
	fixed      float64 // standing pattern, file codes
	row        float64 // of it, banding by rows
	column     float64
	places     float64 // distinct cells of the picture
	cut        float64 // sigma with the cells that coding may have made noisy, left out of it / sigma
	doubted    bool    // the model contradicts it: sigma is not told
	coding     float64 // standard error of sigma / sigma by what coding took
}

// amongCells is by how much sigma differs from cell to cell at one level, relative: things of other colours
// and other photosites, of which a tone of few cells has seen few (computed, in testdata/noise.md).
const amongCells = 0.03

// error returns the standard error of sigma / sigma: of the sample, and of what no sample tells.
func (t tone) error() float64 { return t.errorWith(systematic) }

func (t tone) errorWith(systematic float64) float64 {
	return math.Hypot(math.Hypot(t.relative, systematic/2), amongCells/math.Sqrt(max(t.places, 1)))
}

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
	spread = 20 * math.Log10(1+1.96*t.errorWith(systematicCoded))
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
	low, high := t.interval(lossy)
	switch {
	case hidden || t.doubted:
		out.SigmaCode, out.SigmaLinear = curve.Code(math.NaN()), curve.Unknown[curve.Light]()
		out.Relative = curve.Unknown[curve.Ratio]()
	case math.IsNaN(t.sigma): // so the SNR is bounded from below only
		out.Below, out.Relative = r.Code(LeastSigma), curve.Unknown[curve.Ratio]()
		most := float64(LeastSigma) * r.LightPerCode(t.code)
		out.Low = curve.Decibels(20*math.Log10(float64(max(t.light, 0))/most)) - low
	default:
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
