package plan

import (
	"fmt"

	"stopledger/analyze/clipping"
	"stopledger/analyze/limit"
	"stopledger/curve"
)

// pocket returns the pocket guide of a plan, for the ISO that is recommended.
func (p *Plan) pocket(r curve.Reading) Guide {
	c := p.recommended()
	g := Guide{ISO: c.ISO, Known: c.Origin != clipping.CurveEnd && curve.Finite(c.Floor), Holds: c.Ceiling}
	for at := curve.Stops(-1); at <= 3; at++ {
		g.Ladder = append(g.Ladder, Step{at, r.PercentOf(at.Light())})
	}
	skin := Tones()[1]
	top := r.PercentOf((c.Ceiling - limit.Margin).Light())
	at := func(stops curve.Stops) curve.Percent { return r.PercentOf(stops.Light()) }
	grey := at(c.Placement)
	g.Situations = []Situation{
		{"Controlled light", grey, grey, "grey card in the key light",
			"Set the lamps, then iris or ND until the card reads it. Keep it for the whole scene.", p.cost(c, c.Placement)},
		{"Bright exterior, with card", top, top, "brightest cloud, wall or skin that must hold",
			fmt.Sprintf("Open up until the zebra just touches it; the card should then read %.0f %% or more.", float64(at(0))),
			"Costs nothing in the highlights; what the card reads over nominal, shadows gain."},
		{"Bright exterior, no card", top, top, "brightest thing that must hold",
			fmt.Sprintf("Leave sun and glints out of it. Check a lit face: %.0f to %.0f %% or more.", float64(at(skin.Low)),
				float64(at(skin.High))), "As with a card, but grey is a guess by about a stop."},
		{"Face only", at(c.Placement + skin.Low), at(c.Placement + skin.High), "light side of the face",
			"Dark skin at the lower end, light skin at the upper; shine may lie higher.", p.cost(c, c.Placement)},
		p.nightSituation(at),
		{"High-contrast interior", top, top, "what must hold in the window",
			fmt.Sprintf("Look at the darkest thing that matters: under %.0f %% it is noisy. Fill it, or net the window.",
				float64(lowest(c, at))), widthWords(c)},
	}
	return g
}

// cost says what a placement costs in highlights and what shadows gain by it.
func (p *Plan) cost(c Choice, placement curve.Stops) string {
	left := fmt.Sprintf("Highlights hold to %.1f stops over grey", float64(c.Ceiling-placement))
	switch gain := p.gain(c, placement); {
	case placement < 0.05 && placement > -0.05:
		return left + "; nominal, nothing is given away."
	case curve.Finite(gain):
		return fmt.Sprintf("%s, %.1f less than at nominal; shadows gain %v.", left, float64(placement), gain)
	}
	return fmt.Sprintf("%s, %.1f less than at nominal; shadows lie as much higher.", left, float64(placement))
}

// gain is how much better the SNR of the scene's low end is than at nominal, unknown without noise.
func (p *Plan) gain(c Choice, placement curve.Stops) curve.Decibels {
	snr := func(at curve.Stops) curve.Decibels {
		for _, r := range p.Rows {
			if same(r.ISO, c.ISO) && r.Placement > at-0.005 && r.Placement < at+0.005 {
				return r.SNR
			}
		}
		return curve.Unknown[curve.Decibels]()
	}
	return snr(placement) - snr(0)
}

// nightSituation is of lamps at night, at the ISO that is best for little light.
func (p *Plan) nightSituation(at func(curve.Stops) curve.Percent) Situation {
	s := Situation{"Night with lamps", at(-1), at(0), "faces in lamp light",
		"Lamps may clip, what they light may not. Turn up light before ISO.", "A stop under nominal costs shadows about a " +
			"stop; gain alone gives nothing back."}
	if n := p.Night; n != nil && n.Best != nil {
		s.Look = fmt.Sprintf("ISO %d is the cleanest at the light of ISO %.0f. Lamps may clip, what they light may not.",
			*n.Best, float64(n.Meter))
		if p.Above != nil {
			s.Cost = fmt.Sprintf("Above ISO %d gain brings nothing: it only costs highlights.", *p.Above)
		}
	}
	return s
}

// lowest is the level under which tones are noisy: four stops under nominal where noise is not known, which is
// common practice and has no source.
func lowest(c Choice, at func(curve.Stops) curve.Percent) curve.Percent {
	if curve.Finite(c.Clean) {
		return at(c.Clean)
	}
	return at(-4)
}

// widthWords say how many stops the camera holds at once.
func widthWords(c Choice) string {
	if !curve.Finite(c.Clean) {
		return "How many stops fit at once is not known without the camera's profile."
	}
	return fmt.Sprintf("The camera holds %.1f stops at once, clean to %v and with a reserve of %.1f.",
		float64(c.Ceiling-limit.Margin-c.Clean), limit.ThinSNR, limit.Margin)
}
