package noise

import (
	"math"

	"stopledger/curve"
)

// widestFloor is how wide a floor's interval may be; beyond it only the upper bound is told.
const widestFloor curve.Stops = 1.5

// A floor is where light equals its noise, recorded stops, with its 95 % interval.
type floor struct {
	value, low, high curve.Stops
	bound            FloorBound
}

func unknownFloor() floor {
	u := curve.Unknown[curve.Stops]()
	return floor{u, u, u, ""}
}

// floorOf returns the camera's floor: from the models, where they tell read noise well enough; or
// else what the darkest tone bounds. Noise in light never grows with less light (EMVA 1288 release
// 4.0, the linear camera model), so that the floor lies at or below the light that equals the
// darkest tone's noise. Depth bounds it too: below half a code over black nothing can be told.
// Where the camera filters its noise, the model does not hold under the tones, and the bound is told.
func (t transfer) floorOf(tones []tone, s *toneScale, filtered bool) floor {
	f := t.modelFloor()
	if !filtered && f.high-f.low <= widestFloor {
		return f
	}
	return t.boundFloor(tones, s)
}

// modelFloor returns the models' floor, unknown without one.
func (t transfer) modelFloor() floor {
	if t.likely == nil || t.least == nil || t.most == nil {
		return unknownFloor()
	}
	f := floor{value: t.likely.Floor(1)}
	low, high := t.likely.floorAt(-1.96), t.likely.floorAt(1.96)
	least, most := f.value, f.value // what coding leaves open
	for _, m := range append([]*Model{t.least, t.most}, t.tilted...) {
		least, most = min(least, m.Floor(1)), max(most, m.Floor(1))
	}
	f.low = f.value - apart(f.value-low, f.value-least)
	f.high = f.value + apart(high-f.value, most-f.value)
	return f
}

// apart joins what the sample, coding and all tones together leave open.
func apart(sample, coding curve.Stops) curve.Stops {
	all := common / (20 * math.Log10(2))
	return curve.Stops(math.Sqrt(float64(sample*sample+coding*coding) + all*all))
}

// boundFloor returns the bound by the darkest tone.
func (t transfer) boundFloor(tones []tone, s *toneScale) floor {
	if t.tones == nil {
		return unknownFloor()
	}
	bound := math.Inf(1)
	for i, one := range tones {
		sigma := t.tones[2][i].sigmaLight * (1 + 1.96*one.error())
		if math.IsNaN(sigma) && t.exact {
			sigma = float64(LeastSigma) * curve.At(s.Slope, one.code)
		}
		if sigma > 0 {
			bound = min(bound, sigma)
		}
	}
	if math.IsInf(bound, 1) {
		return unknownFloor()
	}
	bound = max(bound, float64(LeastSigma)*curve.At(s.Slope, s.Reading.CodeOf(0)))
	f := floor{curve.Light(bound).Stops(), curve.Unknown[curve.Stops](), curve.Light(bound).Stops(), AtOrBelow}
	return f
}

// floorAt returns the floor with the variance so many of its standard errors off.
func (m Model) floorAt(errors float64) curve.Stops {
	low, high := -20.0, 6.0
	for range 60 {
		stops := (low + high) / 2
		light := curve.Stops(stops).Light()
		variance := max(m.variance(light)+errors*m.varianceError(light), 0)
		if float64(light*light) < variance {
			low = stops
		} else {
			high = stops
		}
	}
	return curve.Stops(low)
}
