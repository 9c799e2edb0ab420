package clipping

import (
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A Result is what clipped and what is left.
type Result struct {
	Ceiling   Ceiling                `json:"ceiling"`
	Channels  map[string]curve.Level `json:"channel_ceilings"` // r, g, b: measured ones only
	Headroom  curve.Stops            `json:"headroom_stops"`   // from the brightest content to the ceiling; unknown where a field clips or all is black
	Brightest curve.Stops            `json:"brightest_stops"`  // recorded, of the 99.9th percentile
	Clipped   Shares                 `json:"clipped"`
	Edge      Edge                   `json:"edge"`
	SoftShare curve.Share            `json:"soft_share"` // of the frame within the roll-off below the ceiling
	Areas     []Area                 `json:"areas"`      // largest first
}

// A Ceiling is the level at which a recording clips: of the first channel to clip.
type Ceiling struct {
	curve.Level
	Recorded curve.Stops `json:"recorded_stops"`
	Origin   Origin      `json:"origin"`
}

// An Origin says where a ceiling comes from.
type Origin string

// Origins of a ceiling.
const (
	Measured Origin = "measured" // light piles up there
	CurveEnd Origin = "curve"    // nothing clips: the curve or the file ends there
)

// An Edge says how light ends below the ceiling.
type Edge string

// Edges.
const (
	Hard Edge = "hard" // light piles up at the ceiling
	Soft Edge = "soft" // it crowds below the curve's end without a pile-up
	None Edge = "none"
)

// Shares of the frame, means over the measured frames.
type Shares struct {
	R   curve.Share `json:"r"`
	G   curve.Share `json:"g"`
	B   curve.Share `json:"b"`
	Any curve.Share `json:"any"` // at least one channel
	All curve.Share `json:"all"` // all three
}

// An Area is a clipped region.
type Area struct {
	geometry.Rect
	Share curve.Share   `json:"share"` // of the frame, mean over all measured frames
	Kind  Kind          `json:"kind"`
	From  curve.Seconds `json:"from_s"`
	To    curve.Seconds `json:"to_s"`
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
