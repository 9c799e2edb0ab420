package advise

import (
	"strings"

	"stopledger/analyze/rule"
	"stopledger/decode/metadata"
)

// A Level says how much a finding matters.
type Level = rule.Level

// Levels of findings.
const (
	Note    = rule.Note    // good to know
	Caution = rule.Caution // look at it before grading
	Alarm   = rule.Alarm   // consider shooting again
)

// A Finding is something a person should know.
type Finding struct {
	ID    ID     `json:"id"`    // its kind
	Level Level  `json:"level"` // how much it matters
	Text  string `json:"text"`  // a sentence or two
}

// An ID names a kind of finding.
type ID string

// ofRule tells whether findings of a kind are of rules, which their texts name.
func (id ID) ofRule() bool { return strings.HasPrefix(string(id), "rule-") }

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
	DepthDoubt      ID = "depth-doubt"
	Flare           ID = "flare"
	Truncated       ID = "truncated"
	Overlaid        ID = "overlay"
	Interlaced      ID = "interlaced"

	GreyDoubt      ID = "grey-doubt"       // evidence of grey disagrees, or does not suffice for a correction
	GreyNotCarried ID = "grey-not-carried" // why an earlier clip's grey was not taken over, though asked for
	ClipDoubt      ID = "clip-doubt"       // part of the frame may be clipped or not
	NoiseDoubt     ID = "noise-doubt"      // noise at some tones fits no sensor; left out
	NoiseMotion    ID = "noise-motion"     // the picture moves too much for its noise to be measured
	NoiseReduced   ID = "noise-reduced"    // the camera reduced its noise
	NoiseCoarse    ID = "noise-coarse"     // the finest noise is missing
	FramesRepeated ID = "frames-repeated"  // frames are given twice
	DisplayDoubt   ID = "display-doubt"    // the display file seems made for another curve
	FormatChange   ID = "format-change"    // the picture changes its size, depth or chroma in mid-stream

	ProfileUsed   ID = "profile-used"   // the camera's profile tells what the clip does not
	ProfileUnused ID = "profile-unused" // why it does not
	ProfileDoubt  ID = "profile-doubt"  // the clip contradicts it

	// Of how the clip is to be read, as decode/metadata names them.
	CurveDoubt      = ID(metadata.CurveDoubt)
	RangeDoubt      = ID(metadata.RangeDoubt)
	TagDoubt        = ID(metadata.TagDoubt)
	IndexUnused     = ID(metadata.IndexUnused)
	MetadataDamaged = ID(metadata.MetadataDamaged)

	// Of what the user's rules ask.
	RulePlacement = ID(rule.PlacementID)
	RuleSNR       = ID(rule.SNRID)
	RuleClipped   = ID(rule.ClippedID)
	RuleISO       = ID(rule.ISOID)
	RuleShutter   = ID(rule.ShutterID)
	RuleCurve     = ID(rule.CurveID)
	RuleUnsure    = ID(rule.UnsureID)
)

// IDs are all kinds of findings, in the order of their constants.
func IDs() []ID {
	return []ID{GreyOver, GreyUnder, GreyWeak, FieldClipped, PointsClipped, ChannelClipped, GreyCeiling, ShadowsThin,
		NoiseSuppressed, NoiseRecorded, NoiseVisible, Drift, Step, Flicker, DepthDoubt, Flare, Truncated, Overlaid,
		Interlaced, GreyDoubt, GreyNotCarried, ClipDoubt, NoiseDoubt, NoiseMotion, NoiseReduced, NoiseCoarse,
		FramesRepeated, DisplayDoubt, FormatChange, ProfileUsed, ProfileUnused, ProfileDoubt, CurveDoubt, RangeDoubt,
		TagDoubt, IndexUnused, MetadataDamaged, RulePlacement, RuleSNR, RuleClipped, RuleISO, RuleShutter, RuleCurve,
		RuleUnsure}
}

// Capital begins a sentence with what is not empty.
func Capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
