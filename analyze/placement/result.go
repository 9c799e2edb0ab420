// Package placement measures where 18 % grey landed: from areas the user points at, from what is
// found in the frames (chart, card, face), from the scene's average. It gathers all evidence and
// picks the best.
package placement

import (
	"stopledger/analyze/detect"
	"stopledger/analyze/limit"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A Placement is where 18 % grey landed, in stops over nominal.
type Placement struct {
	Stops       curve.Stops    `json:"stops"`                  // over nominal
	Low         curve.Stops    `json:"low"`                    // 95 % interval; unknown for a scene's average as it is
	High        curve.Stops    `json:"high"`                   // of it
	Reading     curve.Stops    `json:"reading_error_stops"`    // half of it that this clip's measuring leaves open
	Reference   curve.Stops    `json:"reference_error_stops"`  // half that not knowing the card, chart or face better does
	Method      Method         `json:"method"`                 // what grey was read from
	Weak        bool           `json:"weak"`                   // not a ground for a correction
	Doubt       Doubt          `json:"doubt,omitempty"`        // why it is no ground for a correction; empty for none
	Carried     string         `json:"carried_from,omitempty"` // path of the clip it is of, where it was carried over
	Confidence  curve.Ratio    `json:"confidence"`             // 0..1 of the detection; unknown for a region
	Code        curve.Code     `json:"code"`                   // of the mean light
	Percent     curve.Percent  `json:"percent"`                // video level of it
	Reflectance curve.Ratio    `json:"reflectance"`            // assumed for what was measured, 0..1
	Region      *geometry.Rect `json:"region"`                 // area measured; nil for none
	Corners     [][2]int       `json:"corners,omitempty"`      // of the card or chart, pixels
	Drift       curve.Stops    `json:"drift_stops"`            // last less first on the fitted line; unknown for one
	Series      []At           `json:"series"`                 // over the clip; never nil
	Chart       *detect.Chart  `json:"chart"`                  // nil unless Method is Chart
	Candidates  []Candidate    `json:"candidates"`             // all evidence, best kind first; never nil
}

// found tells whether grey was read from a card or a chart that was found.
func (p *Placement) found() bool { return p.Method == Card || p.Method == Chart }

// settles tells whether grey is read from a card or a chart that is sure.
func (p *Placement) settles() bool {
	return p.found() && p.sureness() >= limit.Sure && p.Doubt != FewNeutrals
}

// sureness is the confidence in 0..1; an area the user gave is sure.
func (p *Placement) sureness() curve.Ratio {
	if !curve.Finite(p.Confidence) {
		return 1
	}
	return p.Confidence
}

// An At is a level in stops at a time.
type At struct {
	T     curve.Seconds `json:"t_s"`   // from the clip's first frame
	Stops curve.Stops   `json:"stops"` // over nominal grey
}

// A Candidate is one piece of evidence of where grey is.
type Candidate struct {
	Method     Method         `json:"method"`         // its kind
	Stops      curve.Stops    `json:"stops"`          // placement by it
	Confidence curve.Ratio    `json:"confidence"`     // 0..1
	Region     *geometry.Rect `json:"region"`         // area measured; nil for none
	Used       bool           `json:"used"`           // it is the placement
	Note       string         `json:"note,omitempty"` // in words
}

// A Method is the kind of evidence that grey was read from.
type Method string

// Methods, best evidence first. Auto is what is asked for where the best is wanted.
const (
	Auto   Method = "auto"
	Region Method = "region" // an area the user points at
	Chart  Method = "chart"
	Card   Method = "card"
	Face   Method = "face"
	Scene  Method = "scene" // the scene's average
)

// A Doubt is what speaks against a placement that a card or chart gives.
type Doubt string

// Doubts.
const (
	Disagree    Doubt = "disagree"     // another card or chart, as likely one, says another exposure
	FewNeutrals Doubt = "few-neutrals" // fewer than three of a chart's neutrals can be read or agree
	Curve       Doubt = "curve"        // a chart's neutrals do not lie as the curve says
)

// GreyFrom says what the user wants grey taken from.
type GreyFrom struct {
	Grey        Method         `json:"grey"`         // kind of evidence; empty is Auto
	Regions     []Patch        `json:"patches"`      // at most two; the first one holds the grey
	Reflectance curve.Ratio    `json:"reflectance"`  // of a detected card, or of the first region
	Subject     Subject        `json:"subject"`      // whether a face may be the ground for a correction
	Edition     detect.Edition `json:"edition"`      // of the chart
	SceneTarget bool           `json:"target_scene"` // the scene's average may be the ground for a correction
}

// A Patch is an area of known reflectance.
type Patch struct {
	Region      geometry.Rect `json:"region"`      // pixels of the frame as coded
	Reflectance curve.Ratio   `json:"reflectance"` // 0..1
}

// A Subject says whether a face may be the ground for a correction.
type Subject string

// Subjects.
const (
	AnySubject  Subject = "auto"
	FaceSubject Subject = "face"
)
