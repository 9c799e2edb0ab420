package noise

import (
	"math"

	"stopledger/curve"
)

// widestGap is how far apart two measured tones may lie for an interval to be given between them:
// tones come in half-stop bins, and one bin may be empty. Over wider gaps the line would cut the
// bend of the noise curve.
const widestGap curve.Stops = 1.25

// SNR returns the signal-to-noise ratio at recorded stops: from the model, or, where none fits,
// on the line between the two neighbouring measured tones. The interval's ends are then on
// lines too, which is a little wider than two independent tones would make it; there is no
// interval where the tones lie more than 1.25 stops apart. It is unknown where the recording
// hides the camera's noise and outside the measured tones.
func (r *Result) SNR(recorded curve.Stops) Estimate {
	unknown := curve.Unknown[curve.Decibels]()
	if r.hidden() {
		return Estimate{unknown, unknown, unknown}
	}
	if m := r.recordedModel(); m != nil {
		return m.estimate(recorded.Light())
	}
	for i := 1; i < len(r.Tones); i++ {
		a, b := r.Tones[i-1], r.Tones[i]
		if a.Recorded <= recorded && recorded <= b.Recorded && a.SigmaLinear > 0 && b.SigmaLinear > 0 {
			return between(a, b, recorded)
		}
	}
	return Estimate{unknown, unknown, unknown}
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
	e := Estimate{along(a.SNR, b.SNR), curve.Unknown[curve.Decibels](), curve.Unknown[curve.Decibels]()}
	if gap <= widestGap {
		e.Low, e.High = along(a.Low, b.Low), along(a.High, b.High)
	}
	return e
}

// Reaching returns the recorded stops at which the model's SNR reaches a value: the inverse of
// SNR. It is unknown without a model and where the recording hides the camera's noise.
func (r *Result) Reaching(snr curve.Decibels) curve.Stops {
	if r.Model == nil || r.hidden() {
		return curve.Unknown[curve.Stops]()
	}
	return r.Model.Floor(curve.Ratio(math.Pow(10, float64(snr)/20)))
}
