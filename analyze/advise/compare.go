package advise

import (
	"math"

	"stopledger/analyze/limit"
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
	return c
}

// setAgainst sets a take's differences from the first take.
func setAgainst(list []Figure, m, first Measured) {
	if sameObject(m.Placement, first.Placement) {
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
		if !sameObject(m.Placement, takes[0].Placement) {
			return false
		}
	}
	return true
}

// sameObject tells whether two takes' greys were read from the same object: a chart, or what lies
// about as large in about the same place. That both lie in the same light is taken for granted.
func sameObject(a, b *placement.Placement) bool {
	switch {
	case a == nil || b == nil || a.Method != b.Method || a.Reflectance != b.Reflectance:
		return false
	case a.Carried != "" || b.Carried != "" || a.Method == placement.Scene:
		return false
	case a.Method == placement.Chart:
		return true
	}
	return a.Region != nil && b.Region != nil && samePlace(a, b)
}

// samePlace tells whether the areas of two placements are about as large and lie near each other.
func samePlace(a, b *placement.Placement) bool {
	side := func(p *placement.Placement) float64 { return math.Sqrt(float64(p.Region.W) * float64(p.Region.H)) }
	x := func(p *placement.Placement) float64 { return float64(p.Region.X) + float64(p.Region.W)/2 }
	y := func(p *placement.Placement) float64 { return float64(p.Region.Y) + float64(p.Region.H)/2 }
	small, large := min(side(a), side(b)), max(side(a), side(b))
	apart := math.Hypot(x(a)-x(b), y(a)-y(b))
	return large <= float64(limit.SameSize)*small && apart <= float64(limit.SamePlace)*large
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
