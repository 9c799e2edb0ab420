package noise

import (
	"fmt"
	"math"

	"stopledger/curve"
)

// A guess is what coding took of each tone, between its least (-1) and most (1) around the likely (0), from
// the darkest tone to the brightest.
type guess struct{ dark, bright float64 }

// guesses are the likely loss, the ends of its interval, and those that tilt from one end to the other: a line
// through tones that is carried on beyond them goes as far wrong by a tilt as by all. Two ends
// that err independently lie apart as far in 95 of 100 cases where each errs by 1 / sqrt 2 of its own interval.
var guesses = []guess{{0, 0}, {-1, -1}, {1, 1}, {-math.Sqrt2 / 2, math.Sqrt2 / 2}, {math.Sqrt2 / 2, -math.Sqrt2 / 2}}

// loss returns what coding took at a place from dark (0) to bright (1), dB.
func (g guess) loss(k lossKnot, place float64) float64 {
	at := g.dark + (g.bright-g.dark)*place
	if at < 0 {
		return k.loss + at*(k.loss-k.low)
	}
	return k.loss + at*(k.high-k.loss)
}

// atCamera returns the tones as the camera made them, before coding, by each guess.
func (r Recording) atCamera(tones []tone) (all [][]tone, reason string) {
	losses, reason := r.lossesOf(tones)
	if reason != "" {
		return nil, reason
	}
	first, last := span(tones)
	for _, g := range guesses {
		made := make([]tone, len(tones))
		for i, t := range tones {
			k := losses[i]
			place := min(max(float64((t.light.Stops()-first)/(last-first)), 0), 1)
			if !(last > first) {
				place = 0.5
			}
			gain := math.Pow(10, g.loss(k, place)/20)
			t.coding = (k.high - k.low) / 2 / 1.96 * math.Ln10 / 20
			t.sigma *= gain
			t.sigmaLight *= gain
			made[i] = t
		}
		all = append(all, made)
	}
	return all, ""
}

// span returns the recorded stops of the darkest and the brightest tone with a figure.
func span(tones []tone) (first, last curve.Stops) {
	first, last = curve.Stops(math.Inf(1)), curve.Stops(math.Inf(-1))
	for _, t := range tones {
		if !math.IsNaN(t.sigma) {
			first, last = min(first, max(t.light.Stops(), DarkestTone)), max(last, t.light.Stops())
		}
	}
	return first, last
}

// A transfer is the photon transfer of the camera with what coding leaves open.
type transfer struct {
	likely, least, most *Model   // nil where none fits
	tilted              []*Model // those of the tilting guesses that fit
	tones               [][]tone // as the camera made them, by guess; nil where what coding took is not known
	exact               bool     // nothing was lost
}

// transferOf fits the camera's photon transfer.
func (r Recording) transferOf(tones []tone, ceiling curve.Light) (t transfer, reason string) {
	t.exact = !r.LossyCodec
	if t.tones, reason = r.atCamera(tones); reason != "" {
		return t, reason
	}
	t.likely, reason = fitModel(t.tones[0], ceiling)
	if t.likely == nil {
		return t, reason
	}
	t.least, _ = fitModel(t.tones[1], ceiling)
	t.most, _ = fitModel(t.tones[2], ceiling)
	for _, made := range t.tones[3:] {
		if m, _ := fitModel(made, ceiling); m != nil && r.LossyCodec {
			t.tilted = append(t.tilted, m)
		}
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
	below, above := 0.0, 0.0 // what coding leaves open
	for _, m := range append([]*Model{r.Least, r.Most}, r.Tilted...) {
		if m != nil {
			off := float64(m.SNR(light) - e.Value)
			below, above = max(below, -off), max(above, off)
		}
	}
	end := func(own curve.Decibels, coded float64) curve.Decibels {
		return curve.Decibels(math.Sqrt(float64(own*own) + coded*coded + common*common))
	}
	e.Low, e.High = e.Value-end(e.Value-e.Low, below), e.Value+end(e.High-e.Value, above)
	return e
}

// CameraSNR returns the camera's signal-to-noise ratio at recorded stops, before coding. It is
// that of the profile where the clip hides it, and unknown where SNR is, and where the clip cannot bound what
// coding took.
func (r *Result) CameraSNR(recorded curve.Stops) Estimate {
	switch {
	case r.Profile != nil && !r.saturated(recorded):
		return r.Profile.CameraSNR(recorded).bounded()
	case r.Hides() || r.saturated(recorded):
		return nothing
	case r.Model != nil:
		return r.widened(recorded.Light()).bounded()
	}
	e := r.SNR(recorded)
	return Estimate{e.Value - r.Coding.Loss, e.Low - r.Coding.High, e.High - r.Coding.Low}.bounded()
}

// Hides tells whether the clip does not tell the camera's noise.
func (r *Result) Hides() bool { return r.hidden() || !curve.Finite(r.Coding.Loss) }

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
	return fmt.Sprintf("at %d of %d tones the measured noise does not fit the sensor model; no figure is given there",
		n, of)
}
