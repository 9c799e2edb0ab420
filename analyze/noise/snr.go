package noise

import (
	"math"
	"slices"

	"stopledger/curve"
)

// widestGap is how far apart two measured tones may lie for a line between them to tell the SNR: tones come in
// half-stop bins, and one bin may be empty. widestCodedGap is that where the codec's family is known, of which
// lines were counted against the decoded frames.
const (
	widestGap      curve.Stops = 1.25
	widestCodedGap curve.Stops = 2.5
)

// snrBend is how much the slope of a sensor's SNR changes in a stop, dB: read and shot noise give
// 20 log10 L - 10 log10(read^2 + shot L), whose second derivative by stops is at most 10 ln(2)^2 / (4 ln 10).
const snrBend = 10 * math.Ln2 * math.Ln2 / math.Ln10 / 4

// widestSNR is how wide an SNR's interval may be; beyond it nothing is told. Four times the noise or
// a quarter of it is no answer.
const widestSNR curve.Decibels = 12

// bounded returns the estimate, nothing where its interval is too wide to be an answer.
func (e Estimate) bounded() Estimate {
	if e.High-e.Low <= widestSNR {
		return e
	}
	return nothing
}

// SNR returns the signal-to-noise ratio at recorded stops, as recorded: that of the camera where coding
// took nothing and a model fits, else on the line between the two neighbouring tones with a figure. Lossy
// coding takes more from one tone than from the next, which no model of a sensor follows: the model of the
// noise as recorded tells only what lies beyond the tones, and between those too far apart for a line, with what
// coding may take there. The interval's ends are on lines too, which is a little wider than two independent tones
// would make it, and further out by what a sensor's SNR may bend. Where there is no interval, or one too wide to be an
// answer, nothing is told; neither where the recording hides the camera's noise, near the ceiling, nor, after
// lossy coding, over a tone that has less noise than coding keeps.
func (r *Result) SNR(recorded curve.Stops) Estimate {
	switch {
	case r.hidden() || r.saturated(recorded):
		return nothing
	case r.Coding.Origin == Lossless && r.Model != nil:
		return r.widened(recorded.Light()).bounded()
	}
	if r.Coding.Origin != Lossless && r.ironed(recorded) {
		return nothing
	}
	gap := widestGap
	if r.Coding.Origin == CodecFamily {
		gap = widestCodedGap
	}
	var told []Tone
	for _, t := range r.Tones {
		if curve.Finite(t.SNR) {
			told = append(told, t)
		}
	}
	for i := 1; i < len(told); i++ {
		a, b := told[i-1], told[i]
		if a.Recorded <= recorded && recorded <= b.Recorded && b.Recorded-a.Recorded <= gap {
			return between(a, b, recorded)
		}
	}
	if r.Recorded == nil || r.Coding.Origin != CodecFamily {
		return nothing
	}
	return r.beyond(recorded).bounded()
}

// saturated tells whether light is so near the ceiling that a sensor's noise shrinks.
func (r *Result) saturated(recorded curve.Stops) bool { return r.Top > 0 && recorded.Light() > r.Top }

// ironed tells whether a tone that is no brighter has less noise than coding keeps: brighter ones have less still, and
// those with a figure owe it to texture.
func (r *Result) ironed(recorded curve.Stops) bool {
	return slices.ContainsFunc(r.Tones, func(t Tone) bool { return t.Below > 0 && t.Recorded <= recorded })
}

// beyond returns the SNR as recorded away from the tones, with what coding may take there.
func (r *Result) beyond(recorded curve.Stops) Estimate {
	e := r.Recorded.estimate(recorded.Light())
	half := (r.Coding.High - r.Coding.Low) / 2
	return Estimate{e.Value, e.Low - half, e.High + half}
}

// between returns the SNR on the line between two tones.
func between(a, b Tone, recorded curve.Stops) Estimate {
	share := curve.Decibels(0)
	if gap := b.Recorded - a.Recorded; gap > 0 {
		share = curve.Decibels((recorded - a.Recorded) / gap)
	}
	along := func(low, high curve.Decibels) curve.Decibels { return low + (high-low)*share }
	bend := curve.Decibels(snrBend / 2 * float64(recorded-a.Recorded) * float64(b.Recorded-recorded))
	return Estimate{along(a.SNR, b.SNR), along(a.Low, b.Low) - bend, along(a.High, b.High) + bend}
}

// Reaching returns the recorded stops at which the SNR of the camera's model reaches a value. It is unknown
// without a model and where the recording hides the camera's noise.
func (r *Result) Reaching(snr curve.Decibels) curve.Stops {
	if r.Model == nil || r.hidden() {
		return curve.Unknown[curve.Stops]()
	}
	return r.Model.Floor(curve.Ratio(math.Pow(10, float64(snr)/20)))
}

// Known tells whether the noise is told.
func (c Camera) Known() bool { return c.Read >= 0 && c.Shot > 0 }

// CameraSNR returns the SNR at recorded stops before coding, with the ends of the interval where read and
// shot noise are both at theirs, which is a little wide; unknown without noise.
func (c Camera) CameraSNR(recorded curve.Stops) Estimate {
	light := recorded.Light()
	of := func(read, shot curve.Light) Model { return Model{Read: read, Shot: shot} }
	return Estimate{Value: of(c.Read, c.Shot).SNR(light), Low: of(c.ReadHigh, c.ShotHigh).SNR(light),
		High: of(c.ReadLow, c.ShotLow).SNR(light)}
}

// Reaching returns the recorded stops at which the camera's SNR reaches a value; unknown without noise.
func (c Camera) Reaching(snr curve.Decibels) curve.Stops {
	if !c.Known() {
		return curve.Unknown[curve.Stops]()
	}
	return Model{Read: c.Read, Shot: c.Shot}.Floor(curve.Ratio(math.Pow(10, float64(snr)/20)))
}
