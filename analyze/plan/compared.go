package plan

import (
	"fmt"
	"math"

	"stopledger/analyze/limit"
	"stopledger/curve"
)

// Compared is what ISO did between takes that are set side by side.
type Compared struct {
	Takes     []AtISO `json:"takes"`      // in the order given
	SameLight bool    `json:"same_light"` // they differ by ISO alone
	By        string  `json:"by"`         // what tells so: settings, or grey; empty where nothing does
	Text      string  `json:"text"`       // what ISO did, or why it cannot be told, a sentence or two
}

// An AtISO is one of the takes, with what ISO may change.
type AtISO struct {
	ISO       int            `json:"iso"`                 // it was recorded at
	Placement curve.Stops    `json:"placement_stops"`     // of grey, over nominal
	SNR       curve.Decibels `json:"snr_db"`              // as recorded, at scene -4 stops
	Low       curve.Decibels `json:"snr_low_db"`          // lower end of its 95 % interval
	High      curve.Decibels `json:"snr_high_db"`         // its upper end
	Ceiling   curve.Stops    `json:"scene_ceiling_stops"` // from the subject's grey to the ceiling
	Light     curve.Stops    `json:"more_light_stops"`    // that iris, shutter and ND let in, against the first take
}

// Ways to tell that takes got the same light.
const (
	bySettings = "settings"
	byGrey     = "grey"
)

// Compare tells what ISO did between takes, which lie in the order given; nil where they do not say two ISOs.
func Compare(takes []Take) *Compared {
	c := &Compared{}
	differ := false
	for _, t := range takes {
		if t.ISO == 0 {
			return nil
		}
		differ = differ || t.ISO != takes[0].ISO
		one := AtISO{ISO: t.ISO, Placement: t.grey(), Ceiling: t.Clipping.Ceiling.Recorded - t.grey(),
			Light: t.Light - takes[0].Light}
		snr := t.Noise.SNR(one.Placement + limit.Shadow)
		one.SNR, one.Low, one.High = snr.Value, snr.Low, snr.High
		c.Takes = append(c.Takes, one)
	}
	if !differ {
		return nil
	}
	c.SameLight, c.By = sameLight(c.Takes)
	c.Text = c.words()
	return c
}

// sameLight tells whether takes got the same light: by iris, shutter and ND, or, where those are not said, by
// grey that rose by what ISO did.
func sameLight(takes []AtISO) (same bool, by string) {
	same, by = true, bySettings
	for _, t := range takes {
		if !curve.Finite(t.Light) {
			by = byGrey
		}
	}
	for _, t := range takes {
		off := t.Light
		if by == byGrey {
			off = t.Placement - takes[0].Placement - gained(float64(t.ISO), float64(takes[0].ISO))
		}
		if !curve.Finite(off) {
			return false, ""
		}
		same = same && math.Abs(float64(off)) <= float64(limit.HoldWithin)
	}
	return same, by
}

func (c *Compared) words() string {
	first, last := c.Takes[0], c.Takes[0]
	for _, t := range c.Takes {
		if t.ISO < first.ISO {
			first = t
		}
		if t.ISO > last.ISO {
			last = t
		}
	}
	switch {
	case c.By == "":
		return "The takes differ by ISO; whether by light too is not known, as neither their settings nor a grey say it."
	case !c.SameLight:
		return "The takes differ by ISO and by light: what differs between them is not ISO's alone."
	}
	how := "iris, shutter and ND are the same"
	if c.By == byGrey {
		how = "grey rises by what ISO does"
	}
	said := fmt.Sprintf("From ISO %d to %d at the same light (%s), gain alone: ", first.ISO, last.ISO, how)
	if d := last.Placement - first.Placement; curve.Finite(d) {
		said += fmt.Sprintf("grey is recorded %s, ", d.Signed(1))
	}
	switch d := last.SNR - first.SNR; {
	case !curve.Finite(d):
		said += "what it did to shadows is not known"
	case last.Low <= first.High && last.High >= first.Low:
		said += fmt.Sprintf("shadows %s are as noisy as before (%v and %v)", limit.Shadow.FromGrey(), first.SNR,
			last.SNR)
	default:
		said += fmt.Sprintf("shadows %s change by %s, from %v to %v", limit.Shadow.FromGrey(), d.Signed(), first.SNR,
			last.SNR)
	}
	if d := last.Ceiling - first.Ceiling; curve.Finite(d) {
		said += fmt.Sprintf("; the ceiling lies %s over grey instead of %s", last.Ceiling.Plain(1), first.Ceiling.Plain(1))
	}
	return said + "."
}
