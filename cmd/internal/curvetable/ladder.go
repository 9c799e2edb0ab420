package curvetable

import (
	"math"
	"slices"

	"stopledger/curve"
)

// ladderBottom is the lowest stop of a ladder.
const ladderBottom = -8

// sameStep is how far apart, in stops, two steps print alike.
const sameStep = 0.005

// A Step is one level of light on a curve.
type Step struct {
	Mark          string        `json:"mark,omitempty"` // black, mid grey, over or ceiling
	Stops         curve.Stops   `json:"recorded_stops"` // null for black
	Linear        curve.Light   `json:"linear"`
	Code          curve.Code    `json:"code"` // 10-bit; null past the ceiling
	Percent       curve.Percent `json:"percent"`
	Code8         curve.Amount  `json:"code_8_bit"`        // code of an 8-bit file
	StopsAPercent curve.Ratio   `json:"stops_per_percent"` // null for black
}

// A Ladder is one curve stop by stop, schema "stopledger/curve/1".
type Ladder struct {
	Schema    string       `json:"schema"`
	Curve     Entry        `json:"curve"`
	OverStops *curve.Stops `json:"over_stops,omitempty"`
	Ladder    []Step       `json:"ladder"`
}

// Of steps from black and -8 stops to the ceiling, in whole stops.
func Of(c *curve.Curve, o Options) Ladder {
	r := o.reading(c)
	l := Ladder{Schema: "stopledger/curve/1", Curve: newEntry(c, o), OverStops: o.Over}
	top := ceilingLight(r).Stops()
	for s := curve.Stops(ladderBottom); s < top-sameStep; s++ {
		mark := ""
		if s == 0 {
			mark = "mid grey"
		}
		l.Ladder = append(l.Ladder, stepAt(r, s, mark))
	}
	l.Ladder = append(l.Ladder, stepAt(r, top, "ceiling"))
	if o.Over != nil {
		l.addOver(r, *o.Over)
	}
	l.Ladder = slices.Insert(l.Ladder, 0, stepAt(r, curve.Stops(math.Inf(-1)), "black"))
	return l
}

// addOver marks the step of grey exposed over nominal, or puts one in its place.
func (l *Ladder) addOver(r curve.Reading, over curve.Stops) {
	at, found := slices.BinarySearchFunc(l.Ladder, over, func(s Step, over curve.Stops) int {
		switch {
		case same(s.Stops, over):
			return 0
		case s.Stops < over:
			return -1
		}
		return 1
	})
	if !found {
		l.Ladder = slices.Insert(l.Ladder, at, stepAt(r, over, "over"))
	} else if l.Ladder[at].Mark == "" {
		l.Ladder[at].Mark = "over"
	}
}

// same tells whether two steps print alike.
func same(a, b curve.Stops) bool { return math.Abs(float64(a-b)) < sameStep }

func stepAt(r curve.Reading, stops curve.Stops, mark string) Step {
	light := stops.Light()
	level := levelAt(r, light)
	s := Step{Mark: mark, Stops: curve.Round(stops, levelDecimals), Linear: significant(light, 4), Code: level.Code,
		Percent: level.Percent, Code8: curve.Unknown[curve.Amount](), StopsAPercent: curve.Unknown[curve.Ratio]()}
	if !curve.Finite(level.Code) {
		return s
	}
	eight := r
	eight.Bits = 8
	s.Code8 = curve.Amount(curve.Round(min(eight.CodeOf(light), 255), levelDecimals))
	s.StopsAPercent = curve.Round(stopsAPercent(r, light), 4)
	return s
}

// stopsAPercent is how many stops one percent of video level is worth at a level of light: the
// derivative of log2 of the light by the level.
func stopsAPercent(r curve.Reading, light curve.Light) curve.Ratio {
	code := r.CodeOf(light)
	percentACode := float64(r.Percent(code+1) - r.Percent(code))
	return curve.Ratio(r.LightPerCode(code) / (float64(light) * math.Ln2) / percentACode)
}
