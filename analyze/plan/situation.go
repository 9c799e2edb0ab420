package plan

import "stopledger/curve"

// A Guide is what a shooter carries: what to set the zebra to in each situation, and what it costs.
type Guide struct {
	ISO        *int        `json:"iso"`         // it holds for; nil where it is not known
	Known      bool        `json:"measured"`    // noise and ceiling are the camera's, not the curve's alone
	Ladder     []Step      `json:"ladder"`      // of zebras on a grey card
	Situations []Situation `json:"situations"`  // in the order of a day
	Holds      curve.Stops `json:"holds_stops"` // from grey up to the ceiling, at nominal
}

// A Step is what a grey card reads at a placement.
type Step struct {
	Placement curve.Stops   `json:"placement_stops"` // over nominal
	Zebra     curve.Percent `json:"zebra_percent"`   // of a grey card
}

// A Situation is one to expose in.
type Situation struct {
	Name string        `json:"name"`               // of it
	Low  curve.Percent `json:"zebra_low_percent"`  // what the zebra is set to
	High curve.Percent `json:"zebra_high_percent"` // upper end; Low for one value
	On   string        `json:"on"`                 // what is to read that
	Look string        `json:"look_for"`           // a sentence
	Cost string        `json:"costs"`              // in highlights, and what shadows gain
}
