// Package variation tells apart how exposure moved over a clip: drift, a step, and the flicker of
// mains light.
package variation

import "stopledger/curve"

// A Result tells apart how exposure moved over a clip; unknown where not found.
type Result struct {
	Drift     curve.Stops   `json:"drift_stops"`   // over the clip
	Step      curve.Stops   `json:"step_stops"`    // after less before
	StepAt    curve.Seconds `json:"step_at_s"`     // of the first group after it
	Flicker   curve.Stops   `json:"flicker_stops"` // peak to peak
	FlickerHz curve.Ratio   `json:"flicker_hz"`    // as seen at this frame rate
}
