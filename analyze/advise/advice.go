// Package advise turns what was measured of a clip into what to do about it: findings with their
// levels, the correction, the next take; and sets takes side by side. It is a pure function of
// the measurements. All limits stand in analyze/limit.
package advise

import (
	"stopledger/analyze/clipping"
	"stopledger/analyze/levels"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/analyze/variation"
	"stopledger/curve"
)

// An Action is what to do about a clip's exposure.
type Action string

// Actions.
const (
	Pull Action = "pull" // darken before the display transform
	Lift Action = "lift" // brighten
	Hold Action = "hold" // neither
)

// A Level says how much a finding matters.
type Level string

// Levels of findings.
const (
	Note    Level = "note"    // good to know
	Caution Level = "caution" // look at it before grading
	Alarm   Level = "alarm"   // consider shooting again
)

// A Finding is something a person should know.
type Finding struct {
	ID    ID     `json:"id"`
	Level Level  `json:"level"`
	Text  string `json:"text"`
}

// An ID names a kind of finding.
type ID string

// IDs of findings.
const (
	GreyOver        ID = "grey-over"
	GreyUnder       ID = "grey-under"
	GreyWeak        ID = "grey-weak"
	FieldClipped    ID = "field-clipped"
	PointsClipped   ID = "points-clipped"
	ChannelClipped  ID = "channel-clipped"
	GreyCeiling     ID = "grey-ceiling"
	ShadowsThin     ID = "shadows-thin"
	NoiseSuppressed ID = "noise-suppressed"
	NoiseRecorded   ID = "noise-recorded"
	NoiseVisible    ID = "noise-visible"
	Drift           ID = "drift"
	Step            ID = "step"
	Flicker         ID = "flicker"
	CurveDoubt      ID = "curve-doubt"
	RangeDoubt      ID = "range-doubt"
	DepthDoubt      ID = "depth-doubt"
	Flare           ID = "flare"
	Truncated       ID = "truncated"
	Interlaced      ID = "interlaced"
	MetadataDoubt   ID = "metadata-doubt"
)

// Advice is what to do about a clip's exposure.
type Advice struct {
	Action   Action      `json:"action"`
	Stops    curve.Stops `json:"stops"`   // pull: how far down; lift: how far up; hold: 0
	Summary  string      `json:"summary"` // the verdict, a few sentences
	Findings []Finding   `json:"findings"`
	After    After       `json:"after"`
	Next     NextTake    `json:"next_take"`

	Graded []Graded `json:"-"` // the noise as displayed; the document has it with the noise
}

// Correction returns the exposure change in stops: negative for a pull, 0 for a hold.
func (a Advice) Correction() curve.Stops {
	if a.Action == Pull {
		return -a.Stops
	}
	return a.Stops
}

// After is the state after the correction.
type After struct {
	SNR     curve.Decibels `json:"snr_db"` // at scene -4 stops
	Nominal curve.Decibels `json:"nominal_snr_db"`
	Gain    curve.Decibels `json:"gain_db"`                 // SNR less Nominal
	Ceiling curve.Percent  `json:"ceiling_display_percent"` // where the recording's ceiling lands on the display
}

// NextTake is what to change on the next take.
type NextTake struct {
	Stops curve.Stops   `json:"stops"`         // exposure change; + opens up
	Zebra curve.Percent `json:"zebra_percent"` // where grey then reads
	Text  string        `json:"text"`
	For   []ForSNR      `json:"for_snr"`
}

// ForSNR is the placement that puts scene -4 stops at an SNR, and where grey then reads.
type ForSNR struct {
	SNR       curve.Decibels `json:"snr_db"`
	Placement curve.Stops    `json:"placement_stops"`
	Zebra     curve.Percent  `json:"zebra_percent"`
}

// Graded is the noise as displayed after an exposure change.
type Graded struct {
	Name    string       `json:"name"`
	Stops   curve.Stops  `json:"stops"`
	Tones   []GradedTone `json:"tones"`
	Visible curve.Stops  `json:"visible_below_scene_stops"` // noise is plainly visible at and below this tone
}

// A GradedTone is one scene tone as displayed.
type GradedTone struct {
	Scene   curve.Stops    `json:"scene_stops"`
	SNR     curve.Decibels `json:"snr_db"`
	Nominal curve.Decibels `json:"nominal_snr_db"` // had grey been placed at nominal
	SigmaL  curve.Ratio    `json:"sigma_lightness"`
}

// Facts are what advice rests on.
type Facts struct {
	Placement *placement.Placement // settled: the clip's own or carried over; nil when nothing was found
	Noise     *noise.Result
	Clipping  *clipping.Result
	Variation variation.Result
	Levels    *levels.Result
	Patches   curve.Stops // by how much two areas the user gave disagree; unknown without two

	Reading    curve.Reading
	Assumed    bool // the curve is assumed: every number rests on it
	LossyCodec bool
	Interlaced bool
	Truncated  bool      // the file ends before it says it does
	Lost       int       // frames that could not be decoded
	Doubts     []Finding // of how the clip is to be read, from its metadata

	Target curve.Stops   // placement wanted after the correction
	Lifts  []curve.Stops // under which shadows are judged; empty for the usual ones
}

// Advise says what to do about a clip.
func Advise(f Facts) Advice { panic("not moved yet") }

// Worst returns the highest level among findings, "" for none.
func (a Advice) Worst() Level { panic("not moved yet") }
