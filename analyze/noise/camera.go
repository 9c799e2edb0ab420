package noise

import (
	"fmt"
	"math"

	"stopledger/curve"
)

// atCamera returns the tones as the camera made them, before coding, at three guesses of what
// coding took: the likely one, and the ends of its interval.
func (r Recording) atCamera(tones []tone) (likely, least, most []tone, reason string) {
	losses, reason := r.lossesOf(tones)
	if reason != "" {
		return nil, nil, nil, reason
	}
	gain := func(t tone, db float64) tone {
		k := math.Pow(10, db/20)
		t.sigma *= k
		t.sigmaLight *= k
		return t
	}
	for i, t := range tones {
		k := losses[i]
		t.coding = (k.high - k.low) / 2 / 1.96 * math.Ln10 / 20
		likely, least, most = append(likely, gain(t, k.loss)), append(least, gain(t, k.low)), append(most, gain(t, k.high))
	}
	return likely, least, most, ""
}

// A transfer is the photon transfer of the camera with what coding leaves open.
type transfer struct {
	likely, least, most *Model    // nil where none fits
	tones               [3][]tone // as the camera made them
	exact               bool      // nothing was lost
}

// transferOf fits the camera's photon transfer.
func (r Recording) transferOf(tones []tone, ceiling curve.Light) (t transfer, reason string) {
	t.exact = !r.LossyCodec
	if t.tones[0], t.tones[1], t.tones[2], reason = r.atCamera(tones); reason != "" {
		return t, reason
	}
	t.likely, reason = fitModel(t.tones[0], ceiling)
	if t.likely != nil {
		t.least, _ = fitModel(t.tones[1], ceiling)
		t.most, _ = fitModel(t.tones[2], ceiling)
	}
	return t, reason
}

// common is the part of the interval that all tones share, dB: that neutral and coloured things, the
// curve and the pattern differ. 1.96 systematic errors.
var common = 20 * math.Log10(1+1.96*systematic/2)

// widened widens the model's interval of the SNR by what coding and all tones together leave open.
func (r *Result) widened(light curve.Light) Estimate {
	e := r.Model.estimate(light)
	if !curve.Finite(e.Value) {
		return nothing
	}
	end := func(own curve.Decibels, m *Model) float64 {
		coded := 0.0
		if m != nil {
			coded = float64(m.SNR(light) - e.Value)
		}
		return math.Sqrt(float64((own-e.Value)*(own-e.Value)) + coded*coded + common*common)
	}
	e.Low, e.High = e.Value-curve.Decibels(end(e.Low, r.Most)), e.Value+curve.Decibels(end(e.High, r.Least))
	return e
}

// CameraSNR returns the camera's signal-to-noise ratio at recorded stops, before coding. It is
// unknown where SNR is, and where the clip cannot bound what coding took.
func (r *Result) CameraSNR(recorded curve.Stops) Estimate {
	switch {
	case r.hidden() || r.saturated(recorded) || !curve.Finite(r.Coding.Loss):
		return nothing
	case r.Model != nil:
		return r.widened(recorded.Light()).bounded()
	}
	e := r.SNR(recorded)
	return Estimate{e.Value - r.Coding.Loss, e.Low - r.Coding.High, e.High - r.Coding.Low}.bounded()
}

// hidden tells whether no figure of noise is given.
func (r *Result) hidden() bool { return r.Suppressed || r.Unmeasured != "" }

// misfits lists what no tone may do: stand more than this many of its own intervals off the model.
const misfits = 1.0

// contradicted clears the noise of tones that the camera's model contradicts, once coding is
// allowed for, and returns how many.
func (t transfer) contradicted(tones []tone) (n int) {
	if t.likely == nil {
		return 0
	}
	for i := range tones {
		one := &tones[i]
		if math.IsNaN(one.sigmaLight) {
			continue
		}
		model := float64(t.likely.Sigma(one.light))
		spread := 1 + misfits*(1.96*one.error()+mostOff)
		low, high := t.tones[1][i].sigmaLight, t.tones[2][i].sigmaLight
		if model < low/spread || model > high*spread {
			one.sigma, one.sigmaLight, one.doubted = math.NaN(), math.NaN(), true
			n++
		}
	}
	return n
}

// mostOff is how far a model of two parameters may lie off a tone, relative: EMVA 1288 release 4.0
// calls a camera linear within 5 %; colour and fixed pattern add as much. Common practice, no source.
const mostOff = 0.10

// doubtOf tells how many tones were cleared.
func doubtOf(n, of int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("at %d of %d tones the measured noise does not fit the sensor model; no figure is given there", n, of)
}
