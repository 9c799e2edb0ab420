package noise

import (
	"math"

	"stopledger/curve"
)

// widestGap is how far apart two measured tones may lie for an interval to be given between them:
// tones come in half-stop bins, and one bin may be empty. Over wider gaps the line would cut the
// bend of the noise curve.
const widestGap curve.Stops = 1.25

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

// SNR returns the signal-to-noise ratio at recorded stops: from the model, or, where none fits,
// on the line between the two neighbouring measured tones. The interval's ends are then on
// lines too, which is a little wider than two independent tones would make it. Where there is no
// interval, or one too wide to be an answer, nothing is told; neither where the recording
// hides the camera's noise, near the ceiling, nor, without a model, outside the measured tones and
// between those more than 1.25 stops apart.
func (r *Result) SNR(recorded curve.Stops) Estimate {
	if r.hidden() || r.saturated(recorded) {
		return nothing
	}
	if m := r.recordedModel(); m != nil {
		return r.beyond(m.estimate(recorded.Light()), recorded).bounded()
	}
	for i := 1; i < len(r.Tones); i++ {
		a, b := r.Tones[i-1], r.Tones[i]
		if a.Recorded <= recorded && recorded <= b.Recorded && a.SigmaLinear > 0 && b.SigmaLinear > 0 {
			return between(a, b, recorded)
		}
	}
	return nothing
}

// saturated tells whether light is so near the ceiling that a sensor's noise shrinks.
func (r *Result) saturated(recorded curve.Stops) bool { return r.Top > 0 && recorded.Light() > r.Top }

// beyond widens an SNR as recorded outside the measured tones: what coding takes there is not measured.
func (r *Result) beyond(e Estimate, recorded curve.Stops) Estimate {
	low, high := curve.Unknown[curve.Stops](), curve.Unknown[curve.Stops]()
	for _, t := range r.Tones {
		if curve.Finite(t.SNR) {
			if !curve.Finite(low) {
				low = t.Recorded
			}
			high = t.Recorded
		}
	}
	if r.Coding.Origin != CodecFamily || low <= recorded && recorded <= high {
		return e
	}
	half := (r.Coding.High - r.Coding.Low) / 2
	return Estimate{e.Value, e.Low - half, e.High + half}
}

// recordedModel returns the model of noise as recorded: that of the camera where nothing is lost.
func (r *Result) recordedModel() *Model {
	if r.Recorded != nil {
		return r.Recorded
	}
	return r.Model
}

// between returns the SNR on the line between two tones.
func between(a, b Tone, recorded curve.Stops) Estimate {
	share := curve.Decibels(0)
	gap := b.Recorded - a.Recorded
	if gap > 0 {
		share = curve.Decibels((recorded - a.Recorded) / gap)
	}
	along := func(low, high curve.Decibels) curve.Decibels { return low + (high-low)*share }
	if gap > widestGap {
		return nothing
	}
	return Estimate{along(a.SNR, b.SNR), along(a.Low, b.Low), along(a.High, b.High)}
}

// Reaching returns the recorded stops at which the model's SNR reaches a value: the inverse of
// SNR. It is unknown without a model and where the recording hides the camera's noise.
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
