// Package match finds the exposure that brings one clip to another: by a chart or card that is in
// both, or else by what both pictures show.
package match

import (
	"stopledger/analyze/placement"
	"stopledger/analyze/still"
	"stopledger/curve"
)

// A Clip is what is known of a clip.
type Clip struct {
	Grey  *placement.Placement // nil for none
	View  *still.Still         // a frame of it, reduced; nil for none
	Floor curve.Stops          // recorded stops where its noise is as large as its light; unknown where not measured
}

// A Means is what an offset was found by.
type Means string

// Means, best first.
const (
	Chart   Means = "chart"   // of a chart that is in both
	Card    Means = "card"    // of a card in both, or in one while a chart is in the other
	Content Means = "content" // of areas that both pictures show
)

// An Offset is the exposure to apply to a clip, so that it looks as another one was exposed.
type Offset struct {
	Stops  curve.Stops    // + makes it lighter; unknown where the clips cannot be matched
	Low    curve.Stops    // 95 % interval
	High   curve.Stops    // of it
	By     Means          // empty where they cannot be matched
	Reason string         // of By, or why they cannot be matched
	RGB    [3]curve.Stops // of R, G and B, by a neutral that is in both; unknown without one
}

// unmatched is no offset, with the reason.
func unmatched(reason string) Offset {
	n := curve.Unknown[curve.Stops]()
	return Offset{Stops: n, Low: n, High: n, Reason: reason, RGB: noBalance()}
}

func noBalance() [3]curve.Stops {
	n := curve.Unknown[curve.Stops]()
	return [3]curve.Stops{n, n, n}
}
