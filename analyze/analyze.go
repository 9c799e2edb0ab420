// Package analyze measures clips: it passes over a clip's frames and hands them to the
// instruments. It asks curve what a code means and never sees FFmpeg.
package analyze

import (
	"context"

	"stopledger/analyze/clipping"
	"stopledger/analyze/levels"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/analyze/variation"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
)

// Settings say how clips are to be read and what is asked of them: one struct from the flags to
// the instruments, and into the document.
type Settings struct {
	metadata.ReadAs
	placement.GreyFrom
	Target     curve.Stops    `json:"target_stops"` // placement wanted after the correction, over nominal
	Lifts      []curve.Stops  `json:"lifts"`
	EveryFrame bool           `json:"every_frame"`
	HoldGrey   bool           `json:"hold_grey"`
	Region     *geometry.Rect `json:"region"` // of the first patch; nil without one

	Pictures bool `json:"-"` // take stills
	Threads  int  `json:"-"` // for decoding and measuring one clip
}

// A Source is a clip's frames: a *decode.Clip, or frames in memory.
type Source interface {
	Info() decode.Info
	Read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error
}

// A Result is everything measured in one clip. It does not change once made.
type Result struct {
	Settled    metadata.Settled
	Groups     int
	Frames     int // measured
	Lost       int // present but not decodable
	Placement  *placement.Placement
	Noise      noise.Result
	Clipping   clipping.Result
	Variation  variation.Result
	Levels     levels.Result
	Patches    curve.Stops // by how much two areas the user gave disagree; unknown without two
	LossyCodec bool
	Moments    []Moment // one a group
}

// A Moment is one group of frames.
type Moment struct {
	T         curve.Seconds `json:"t_s"`
	Placement curve.Stops   `json:"placement_stops"`
	Level     curve.Stops   `json:"scene_level_stops"` // log-average of the frame
	Floor     curve.Stops   `json:"floor_stops"`
	Clipped   curve.Share   `json:"clipped_any"`
}
