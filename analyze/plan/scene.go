// Package plan says before a shoot what a camera holds: its profile, from takes of one still scene; the
// placements, ISOs and zebras for a scene; and what a profile tells of clips that do not tell it
// themselves. It is a pure function of what was measured.
package plan

import (
	"math"

	"stopledger/curve"
)

// A Scene is how far a scene's tones reach from the subject's grey, in stops.
type Scene struct {
	Low  curve.Stops `json:"low_stops"`  // darkest tone that is to be clean
	High curve.Stops `json:"high_stops"` // brightest tone that is to hold
}

// A Tone is something in the scene that a zebra is set by, lit as the grey card is.
type Tone struct {
	Name   string      `json:"name"`        // grey card ...
	Low    curve.Stops `json:"low_stops"`   // from grey
	High   curve.Stops `json:"high_stops"`  // from grey; Low for a tone that is no range
	Source string      `json:"source"`      // where it is from
	Light  curve.Share `json:"reflectance"` // of High
}

// White is the reflectance of a white card.
const White = 0.9

// Luminances Y of the 24-patch chart's two skins, 2005 edition (colour-science/colour, dataset "ColorChecker
// 2005", ICC D50).
const (
	darkSkin  = 0.1008
	lightSkin = 0.3495
)

// Tones returns what zebras are set by: the grey card, the light side of a face, the white card.
func Tones() []Tone {
	over := func(reflectance float64) curve.Stops { return curve.Light(reflectance).Stops() }
	return []Tone{
		{"grey card", 0, 0, "18 % reflectance", curve.MidGrey},
		{"light side of a face", over(darkSkin), over(lightSkin), "patches dark skin and light skin of the 24-patch " +
			"chart, values before the change of 2014; people differ more, and highlights on skin lie higher", lightSkin},
		{"white card", over(White), over(White), "90 % reflectance: log2(0.90 / 0.18)", White},
	}
}

// A Zebra is the video level of each tone at one placement; unknown for what lies above the ceiling.
type Zebra struct {
	Grey     curve.Percent `json:"grey"`      // of the grey card
	SkinLow  curve.Percent `json:"skin_low"`  // light side of a face with dark skin
	SkinHigh curve.Percent `json:"skin_high"` // light side of a face with light skin
	White    curve.Percent `json:"white"`     // of the white card
	Ceiling  curve.Percent `json:"ceiling"`   // the reserve under the ceiling: what is to hold stays below
}

// zebra returns the levels with grey at a placement under a ceiling, recorded stops, and the limit below it.
func zebra(r curve.Reading, grey, ceiling, limit curve.Stops) Zebra {
	at := func(from curve.Stops) curve.Percent {
		if grey+from > ceiling {
			return curve.Unknown[curve.Percent]()
		}
		return r.PercentOf((grey + from).Light())
	}
	t := Tones()
	return Zebra{at(t[0].Low), at(t[1].Low), at(t[1].High), at(t[2].Low), r.PercentOf(limit.Light())}
}

// gained returns how many stops more gain an ISO gives than another.
func gained(iso, over float64) curve.Stops { return curve.Stops(math.Log2(iso / over)) }
