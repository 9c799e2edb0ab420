package match

import (
	"math"

	"stopledger/analyze/limit"
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// Match returns what brings a clip to another one. A clip that is exposed s stops over the other one
// has the offset -s.
func Match(c, to Clip) Offset {
	if grounded(c.Grey) && grounded(to.Grey) {
		return byGrey(c, to)
	}
	return byContent(c, to)
}

// byGrey matches by grey that was measured in both. How well a card is known drops out of the
// difference where both show the same one.
func byGrey(c, to Clip) Offset {
	a, b := c.Grey, to.Grey
	o := Offset{Stops: b.Stops - a.Stops, By: Card, Reason: "the grey card in both", RGB: balance(c, to)}
	if a.Method == placement.Chart && b.Method == placement.Chart {
		o.By, o.Reason = Chart, "the chart in both"
	}
	if a.Method == placement.Region || b.Method == placement.Region {
		o.Reason = "the grey in both"
	}
	half := math.Hypot(halfOf(a), halfOf(b))
	if placement.SameObject(a, b) && curve.Finite(a.Reading) && curve.Finite(b.Reading) {
		half = math.Hypot(float64(a.Reading), float64(b.Reading))
	}
	// A level that moves within a clip is no one level: half its way is open to either side.
	half += moved(a)/2 + moved(b)/2
	o.Low, o.High = o.Stops-curve.Stops(half), o.Stops+curve.Stops(half)
	return o
}

func halfOf(p *placement.Placement) float64 { return float64(p.High-p.Low) / 2 }

// moved is how far the level moves over a clip, where that is more than none.
func moved(p *placement.Placement) float64 {
	if d := math.Abs(float64(p.Drift)); d > float64(limit.Drift) {
		return d
	}
	return 0
}
