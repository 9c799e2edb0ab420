package plan

import (
	"stopledger/analyze/clipping"
	"stopledger/analyze/limit"
	"stopledger/analyze/noise"
	"stopledger/curve"
)

// A Noise tells a camera's noise: a clip's *noise.Result does, and an ISO of a profile.
type Noise interface {
	CameraSNR(recorded curve.Stops) noise.Estimate // before coding
	Reaching(snr curve.Decibels) curve.Stops       // recorded stops at which the SNR is reached
}

// A Sensor is what a plan knows of a camera, at one ISO.
type Sensor struct {
	ISO     int             // 0 where it is not known
	Ceiling curve.Stops     // recorded, of the first channel to clip
	Origin  clipping.Origin // of the ceiling
	Noise   Noise           // nil where it is not known
}

// Unseen is the sensor of a curve alone: where its recordings end, as far as that is published.
func Unseen(r curve.Reading) Sensor {
	return Sensor{Ceiling: r.Stops(r.Limit()), Origin: clipping.CurveEnd}
}

// highest returns the placement up to which a scene's high end stays the reserve under the ceiling.
func (s Sensor) highest(scene Scene) curve.Stops { return s.Ceiling - limit.Margin - scene.High }

// reaching returns the placement at which a scene's low end has an SNR; unknown without noise.
func (s Sensor) reaching(scene Scene, snr curve.Decibels) curve.Stops {
	if s.Noise == nil {
		return curve.Unknown[curve.Stops]()
	}
	return s.Noise.Reaching(snr) - scene.Low
}

// snr returns the SNR at a recorded level, unknown without noise.
func (s Sensor) snr(recorded curve.Stops) noise.Estimate {
	if s.Noise == nil {
		unknown := curve.Unknown[curve.Decibels]()
		return noise.Estimate{Value: unknown, Low: unknown, High: unknown}
	}
	return s.Noise.CameraSNR(recorded)
}

// iso returns the ISO, nil where it is not known.
func (s Sensor) iso() *int {
	if s.ISO == 0 {
		return nil
	}
	return &s.ISO
}
