package plan

import (
	"fmt"
	"math"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/curve"
)

// A Test is a clip of the scene to be shot.
type Test struct {
	ISO      int              // 0 where it does not say
	Grey     curve.Stops      // its placement
	Dark     curve.Stops      // recorded, of its darkest content
	Clipping *clipping.Result // its highlights
	Noise    *noise.Result    // its noise
}

// Scene returns how far the scene reaches, and what limits that, "" where nothing does.
func (t Test) Scene() (s Scene, limited string) {
	c := t.Clipping
	s = Scene{Low: t.Dark - t.Grey, High: c.Brightest - t.Grey}
	if !curve.Finite(c.Headroom) {
		s.High = c.Ceiling.Recorded - t.Grey
		limited = fmt.Sprintf("The test clip clips, or may: the scene reaches further than %s.", s.High.Signed(1))
	}
	return s, limited
}

// Sensor returns what the clip shows of the camera.
func (t Test) Sensor() Sensor {
	s := Sensor{ISO: t.ISO, Ceiling: t.Clipping.Ceiling.Recorded, Origin: t.Clipping.Ceiling.Origin}
	if t.Noise.Model != nil && curve.Finite(t.Noise.Coding.Loss) {
		s.Noise = t.Noise
	}
	return s
}

// Meter returns the ISO for which a meter asks the light of the clip; 0 where its ISO is not known.
func (t Test) Meter() float64 { return float64(t.ISO) * math.Exp2(-float64(t.Grey)) }
