package advise

import (
	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// A Measured is a take to be set beside others.
type Measured struct {
	Path      string
	Placement *placement.Placement
	Noise     *noise.Result
	Clipping  *clipping.Result
}

// A Comparison holds takes side by side, each against the first, and which to use.
type Comparison struct {
	Takes          []Take         `json:"takes"` // in the order given
	Recommendation Recommendation `json:"recommendation"`
}

// A Take is one clip's figures and their differences from the first clip's.
type Take struct {
	Path    string   `json:"path"`
	Figures []Figure `json:"figures"`
}

// A Figure is one quantity of a take. Value and Difference are nil where they could not be
// measured.
type Figure struct {
	Name       string       `json:"name"` // placement, floor, snr, ceiling, headroom, clipped_any ...
	Unit       string       `json:"unit"` // stops, dB, share
	SceneStops *curve.Stops `json:"scene_stops"`
	Value      *Estimate    `json:"value"`
	Difference *Difference  `json:"difference"` // this take less the first; nil for the first
}

// An Estimate is a number in its figure's unit with its 95 % interval, whose ends are unknown
// where no interval is.
type Estimate struct {
	Value curve.Amount `json:"value"`
	Low   curve.Amount `json:"low"`
	High  curve.Amount `json:"high"`
}

// A Difference is an Estimate of a difference. Told is false where its interval holds zero: the
// takes cannot be told apart by it, and no direction is to be read from its value.
type Difference struct {
	Estimate
	Told bool `json:"told"`
}

// A Recommendation says which take to use. Take is its number, from 1, or nil where it is a
// matter of what the shot needs, or where nothing tells the takes apart.
type Recommendation struct {
	Take   *int    `json:"take"`
	Path   *string `json:"path"`
	Reason string  `json:"reason"`
}

// Compare sets takes side by side, each against the first. It asks for at least one.
func Compare(takes []Measured) Comparison { panic("not moved yet") }
