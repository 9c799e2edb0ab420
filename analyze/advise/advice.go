// Package advise turns what was measured of a clip into what to do about it: findings with their
// levels, the correction, the next take, and the verdict in words; and sets takes side by side. It
// is a pure function of the measurements. All limits stand in analyze/limit.
package advise

import "stopledger/curve"

// An Action is what to do about a clip's exposure.
type Action string

// Actions.
const (
	Pull Action = "pull" // darken before the display transform
	Lift Action = "lift" // brighten
	Hold Action = "hold" // grey is at the target, or near enough
	None Action = "none" // nothing tells well enough what to do
)

// Advice is what to do about a clip's exposure.
type Advice struct {
	Action   Action      `json:"action"`       // pull, lift, hold or none
	Stops    curve.Stops `json:"stops"`        // pull: how far down; lift: how far up; else 0
	Offset   curve.Stops `json:"offset_stops"` // what to apply: - for a pull; 0 for a hold, unknown for none
	Low      curve.Stops `json:"low_stops"`    // 95 % interval of the target less the placement; unknown for none
	High     curve.Stops `json:"high_stops"`   // its upper end
	Summary  string      `json:"summary"`      // the verdict, a few sentences
	Findings []Finding   `json:"findings"`     // what a person should know; never nil
	After    After       `json:"after"`        // the state after the correction
	Next     NextTake    `json:"next_take"`    // what to change on the next take

	Target   *curve.Stops `json:"target_stops"`   // placement wanted after the correction; nil in earlier documents
	Intended *curve.Stops `json:"intended_stops"` // placement exposed at on purpose, judged by; nil for none named
	Rules    []string     `json:"rules"`          // names of the rules that hold for the clip; never nil

	Graded []Graded `json:"-"` // the noise as displayed; the document has it with the noise
}

// After is the state after the correction; unknown where grey or noise is.
type After struct {
	SNR     curve.Decibels `json:"snr_db"`                  // at scene -4 stops, as recorded
	Low     curve.Decibels `json:"snr_low_db"`              // lower end of its 95 % interval
	High    curve.Decibels `json:"snr_high_db"`             // its upper end
	Nominal curve.Decibels `json:"nominal_snr_db"`          // of the camera there, had grey been placed at nominal
	Gain    curve.Decibels `json:"gain_db"`                 // of the camera there as placed, less Nominal
	Ceiling curve.Percent  `json:"ceiling_display_percent"` // where the recording's ceiling lands on the display
	Display *OnDisplay     `json:"display"`                 // through the user's display file; nil without one
}

// OnDisplay is where levels land after the correction through the user's display file: percents are of
// the highest signal that it shows a neutral as, its white.
type OnDisplay struct {
	File    string        `json:"file"`            // that holds the display transform
	Grey    curve.Percent `json:"grey_percent"`    // display signal of the subject's grey; unknown where grey is
	Ceiling curve.Percent `json:"ceiling_percent"` // display signal of the recording's ceiling

	Digest  string        `json:"sha256"`          // of the file
	Domain  curve.Domain  `json:"domain"`          // what the file takes
	Expects curve.Stops   `json:"expects_stops"`   // placement of grey that it was made for
	Nominal curve.Percent `json:"nominal_percent"` // display signal of grey at that placement
	White   curve.Percent `json:"white_percent"`   // signal of its white, of full scale
	Tones   []ShownTone   `json:"tones"`           // of neutral light, darkest first
}

// A ShownTone is a level of neutral light as the user's display file shows it.
type ShownTone struct {
	Level curve.Stops   `json:"stops"`   // from nominal grey, after any correction
	Shows curve.Percent `json:"percent"` // display signal, of white
}

// NextTake is what to change on the next take; unknown where grey is.
type NextTake struct {
	Stops curve.Stops   `json:"stops"`         // exposure change; + opens up
	Zebra curve.Percent `json:"zebra_percent"` // where grey then reads
	Text  string        `json:"text"`          // in words
	For   []ForSNR      `json:"for_snr"`       // what shadows want; never nil
}

// ForSNR is the placement that puts scene -4 stops at an SNR, and where grey then reads.
type ForSNR struct {
	SNR       curve.Decibels `json:"snr_db"`          // at scene -4 stops
	Placement curve.Stops    `json:"placement_stops"` // over nominal
	Zebra     curve.Percent  `json:"zebra_percent"`   // video level of grey at that placement
	Clips     *bool          `json:"clips"`           // there the highlights would clip; nil where nothing tells
}

// Graded is the noise as displayed after an exposure change.
type Graded struct {
	Name    string       `json:"name"`                      // as recorded, advised, lifted 1 stop ...
	Stops   curve.Stops  `json:"stops"`                     // exposure change, - for a pull
	Tones   []GradedTone `json:"tones"`                     // darkest first
	Visible curve.Stops  `json:"visible_below_scene_stops"` // noise is plainly visible at and below this tone
}

// A GradedTone is one scene tone as displayed.
type GradedTone struct {
	Scene   curve.Stops    `json:"scene_stops"`     // from the subject's grey
	SNR     curve.Decibels `json:"snr_db"`          // the same before and after the change
	Nominal curve.Decibels `json:"nominal_snr_db"`  // had grey been placed at nominal
	SigmaL  curve.Ratio    `json:"sigma_lightness"` // one standard deviation in units of CIE L*
}

// Correction returns the exposure change in stops: negative for a pull, 0 for a hold and for none.
func (a Advice) Correction() curve.Stops {
	switch a.Action {
	case Pull:
		return -a.Stops
	case Lift:
		return a.Stops
	}
	return 0
}

// Worst returns the highest level among the findings, "" for none.
func (a Advice) Worst() Level {
	var worst Level
	for _, f := range a.Findings {
		if f.Level.Rank() > worst.Rank() {
			worst = f.Level
		}
	}
	return worst
}

// NeedsPerson tells whether somebody has to look at the clip: it has a finding at level alarm.
func (a Advice) NeedsPerson() bool { return a.Worst() == Alarm }
