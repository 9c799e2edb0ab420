// Package clipping measures what clipped and what is left below the ceiling. It works in two steps
// that share the same words: a Finder gathers the tops of the channels over a few pairs of frames
// and finds the ceilings, because samples at a ceiling can only be counted once it is known; an
// Accumulator then gathers the samples at the ceilings over all measured frames.
package clipping

import (
	"encoding/json"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A Result is what clipped and what is left.
type Result struct {
	Ceiling   Ceiling                `json:"ceiling"`          // of the first channel to clip
	Channels  map[string]curve.Level `json:"channel_ceilings"` // r, g, b: measured ones only
	Headroom  curve.Stops            `json:"headroom_stops"`   // from Brightest; unknown if a field clips, or rolls off
	Brightest curve.Stops            `json:"brightest_stops"`  // recorded, of the 99.9th percentile
	Bound     Bound                  `json:"headroom_bound"`   // AtMost where no ceiling was seen
	Each      map[string]Level       `json:"channels"`         // r, g, b: where each clips, as far as is known
	Clipped   Shares                 `json:"clipped"`          // at the ceiling
	Low       curve.Share            `json:"clipped_low"`      // 95 % interval of Clipped.Any
	High      curve.Share            `json:"clipped_high"`
	Edge      Edge                   `json:"edge"`       // how light ends below it
	Undecided bool                   `json:"undecided"`  // it may clip: then Headroom is unknown
	SoftShare curve.Share            `json:"soft_share"` // of the frame within the roll-off below the ceiling
	Areas     []Area                 `json:"areas"`      // largest first

	Ceilings Ceilings `json:"-"` // in codes of the file
	Groups   []Shares `json:"-"` // of each group of frames, in order of time
}

// A Ceiling is the level at which a recording clips: of the first channel to clip.
type Ceiling struct {
	curve.Level
	Recorded curve.Stops `json:"recorded_stops"` // over nominal grey
	Origin   Origin      `json:"origin"`         // where it comes from
}

// A Level is where a channel clips.
type Level struct {
	Code   curve.Code `json:"code"`   // on the 10-bit scale
	Origin Origin     `json:"origin"` // where it comes from
}

// A Bound says that a figure is only known to lie on one side.
type Bound string

// AtMost is the bound of headroom where no ceiling was seen: a camera may end lower.
const AtMost Bound = "at-most"

// MarshalJSON writes no bound as null.
func (b Bound) MarshalJSON() ([]byte, error) {
	if b == "" {
		return []byte("null"), nil
	}
	return json.Marshal(string(b))
}

// Shares of the frame, means over the measured frames.
type Shares struct {
	R   curve.Share `json:"r"`   // red
	G   curve.Share `json:"g"`   // green
	B   curve.Share `json:"b"`   // blue
	Any curve.Share `json:"any"` // at least one channel
	All curve.Share `json:"all"` // all three
}

// An Area is a clipped region.
type Area struct {
	geometry.Rect
	Share curve.Share   `json:"share"`               // of the frame, mean over all measured frames
	Kind  Kind          `json:"kind"`                // field or points
	From  curve.Seconds `json:"from_s"`              // start of the first group of frames that clips here
	To    curve.Seconds `json:"to_s"`                // end of the last
	Some  curve.Share   `json:"some_channels_share"` // of the area, where one or two channels still hold
	Peak  curve.Share   `json:"peak_share"`          // of the frame, in its largest group
}

// A Kind tells large clipped areas from small ones.
type Kind string

// Kinds of area.
const (
	Field  Kind = "field"  // a sky or a window
	Points Kind = "points" // lamps and glints
)
