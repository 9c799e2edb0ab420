package noise

import (
	"math"

	"stopledger/curve"
)

// A Model is the photon transfer in scene-linear light: variance = Read^2 + Shot x light (EMVA
// 1288 release 4.0, the linear camera model, with the dark variance free).
type Model struct {
	Read      curve.Light `json:"read_linear"`      // standard deviation without light
	Shot      curve.Light `json:"shot_linear"`      // variance that a unit of light adds
	ReadError curve.Light `json:"read_error"`       // one standard error of Read
	ShotError curve.Light `json:"shot_error"`       // one standard error of Shot
	Chi2      curve.Ratio `json:"chi2_per_freedom"` // misfit of the tones; 1 is expected

	DarkError  curve.Ratio `json:"dark_error"` // one standard error of Read^2, light^2; 0 where not known
	Covariance curve.Ratio `json:"covariance"` // of Read^2 and Shot, light^3
}

// An Estimate is a signal-to-noise ratio with its 95 % interval; all three are unknown, or none is.
type Estimate struct {
	Value curve.Decibels // 20 log10(light / sigma)
	Low   curve.Decibels // lower end of the interval
	High  curve.Decibels // upper end
}

// nothing is what is known of an SNR that cannot be told with an interval.
var nothing = func(v curve.Decibels) Estimate { return Estimate{v, v, v} }(curve.Unknown[curve.Decibels]())

// variance returns sigma^2 at scene-linear light.
func (m Model) variance(light curve.Light) float64 {
	return float64(m.Read*m.Read + m.Shot*max(light, 0))
}

// varianceError returns one standard error of the variance at scene-linear light, larger where the
// tones misfit.
func (m Model) varianceError(light curve.Light) float64 {
	l, dark, shot := float64(max(light, 0)), float64(m.DarkError), float64(m.ShotError)
	if dark == 0 {
		dark = float64(2 * m.Read * m.ReadError)
	}
	square := dark*dark + 2*l*float64(m.Covariance) + l*l*shot*shot
	return math.Sqrt(max(square, 0) * max(float64(m.Chi2), 1))
}

// Sigma returns the noise at scene-linear light.
func (m Model) Sigma(light curve.Light) curve.Light { return curve.Light(math.Sqrt(m.variance(light))) }

// SNR returns 20 log10(light / sigma), unknown at or below no light.
func (m Model) SNR(light curve.Light) curve.Decibels {
	if !(light > 0) {
		return curve.Unknown[curve.Decibels]()
	}
	return curve.Decibels(20 * math.Log10(float64(light/m.Sigma(light))))
}

// Floor returns the recorded stops at which light / sigma = snr: the positive root of
// L^2 = snr^2 (Read^2 + Shot L).
func (m Model) Floor(snr curve.Ratio) curve.Stops {
	square := float64(snr * snr)
	read := float64(m.Read)
	b := square * float64(m.Shot)
	return curve.Light((b + math.Sqrt(b*b+4*square*read*read)) / 2).Stops()
}

// estimate returns the SNR at scene-linear light. Its interval is 1.96 standard errors of the
// variance, of both parameters with their covariance; without one nothing is known.
func (m Model) estimate(light curve.Light) Estimate {
	variance := m.variance(light)
	spread := 1.96 * m.varianceError(light)
	if !(spread < variance) {
		return nothing
	}
	snr := func(variance float64) curve.Decibels {
		return curve.Decibels(20*math.Log10(float64(light)) - 10*math.Log10(variance))
	}
	return Estimate{m.SNR(light), snr(variance + spread), snr(variance - spread)}
}
