package advise

import (
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// A Comparison holds takes side by side, each against the first, and which to use.
type Comparison struct {
	Takes          []Take         `json:"takes"`          // in the order given
	Recommendation Recommendation `json:"recommendation"` // which to use
}

// Compare sets takes side by side, each against the first. How well the card or chart is known makes
// a take's own figures less sure, but not the difference of takes of the same one.
func Compare(takes []Measured) Comparison {
	c := Comparison{Takes: []Take{}}
	var weighed []Take
	shared := allShare(takes)
	for i, m := range takes {
		t := Take{Path: m.Path, Figures: figures(m)}
		if i > 0 {
			setAgainst(t.Figures, m, takes[0])
		}
		c.Takes = append(c.Takes, t)
		if shared {
			t.Figures = figures(m.asRead())
		}
		weighed = append(weighed, t)
	}
	c.Recommendation = recommend(weighed, groundless(takes)).unlessDoubted(takes)
	if words := strangers(takes); words != "" {
		c.Recommendation = Recommendation{Reason: "No take is recommended: " + words +
			", and only takes of one scene can be weighed. Name takes of the same scene."}
	}
	return c
}

// setAgainst sets a take's differences from the first take.
func setAgainst(list []Figure, m, first Measured) {
	if placement.SameObject(m.Placement, first.Placement) {
		m, first = m.asRead(), first.asRead()
	}
	mine, others := figures(m), figures(first)
	for i := range list {
		list[i].Difference = difference(mine[i].Value, others[i].Value)
	}
}

// allShare tells whether grey was read from the same object in all takes.
func allShare(takes []Measured) bool {
	for _, m := range takes {
		if !placement.SameObject(m.Placement, takes[0].Placement) {
			return false
		}
	}
	return true
}

// asRead is a take whose grey is only as unsure as its reading.
func (m Measured) asRead() Measured {
	if p := m.Placement; p != nil && curve.Finite(p.Reading) {
		read := *p
		read.Low, read.High = p.Stops-p.Reading, p.Stops+p.Reading
		m.Placement = &read
	}
	return m
}
