package synth

import (
	"math"

	"stopledger/curve"
)

// Noise is the temporal noise of one sensor channel before white balance, in scene-linear units
// of the recording: variance = Read^2 + Shot x L. Shot is at the same time the light of one
// electron, so L/Shot is the number of electrons.
//
// The model is EMVA 1288's for a linear camera (variance = dark variance + K x mean).
type Noise struct {
	Read curve.Light // standard deviation with no light
	Shot curve.Light // of one electron
}

// Sigma returns the standard deviation at a light.
func (n Noise) Sigma(l curve.Light) curve.Light {
	return curve.Light(math.Sqrt(float64(n.Read*n.Read + n.Shot*max(l, 0))))
}

// Floor returns the light at which the signal equals its noise (SNR = 1, 0 dB).
func (n Noise) Floor() curve.Light {
	return (n.Shot + curve.Light(math.Sqrt(float64(n.Shot*n.Shot+4*n.Read*n.Read)))) / 2
}

// A Photosite gives the noise in electrons, as data sheets do.
type Photosite struct {
	FullWell float64 // electrons at the ceiling, at the base ISO
	ReadE    float64 // electrons, standard deviation
	BaseISO  float64 // at which the well fills at BaseCeiling
	ISO      float64 // 0 means BaseISO
	// BaseCeiling is the recorded scene-linear light of a full well at the base ISO.
	BaseCeiling curve.Light
}

// Noise returns the model in recorded light. Twice the ISO means half the exposure for the
// same recorded light: each electron counts for twice the light and the well fills a stop
// later on the recorded scale.
func (p Photosite) Noise() Noise {
	perElectron := float64(p.BaseCeiling) / p.FullWell * p.gain()
	return Noise{Read: curve.Light(p.ReadE * perElectron), Shot: curve.Light(perElectron)}
}

// Ceiling returns the recorded light of a full well at the ISO set.
func (p Photosite) Ceiling() curve.Light { return p.BaseCeiling * curve.Light(p.gain()) }

func (p Photosite) gain() float64 {
	if p.ISO == 0 {
		return 1
	}
	return p.ISO / p.BaseISO
}
