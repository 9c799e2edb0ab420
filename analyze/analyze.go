// Package analyze measures clips: it passes over a clip's frames and hands them to the
// instruments. It asks curve what a code means and never sees FFmpeg.
package analyze

import (
	"context"

	"stopledger/analyze/clipping"
	"stopledger/analyze/display"
	"stopledger/analyze/levels"
	"stopledger/analyze/noise"
	"stopledger/analyze/overlay"
	"stopledger/analyze/placement"
	"stopledger/analyze/plan"
	"stopledger/analyze/rule"
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
	Target     curve.Stops    `json:"target_stops"`      // placement wanted after the correction, over nominal
	Intended   *curve.Stops   `json:"intended_stops"`    // placement exposed at on purpose; nil for none named
	Rules      *rule.Set      `json:"rules"`             // that clips are judged by; nil for none
	Profile    *plan.Profile  `json:"profile,omitempty"` // of the camera; nil for none
	Lifts      []curve.Stops  `json:"lifts"`             // under which shadows are judged
	EveryFrame bool           `json:"every_frame"`       // measure every frame, not groups of them
	HoldGrey   bool           `json:"hold_grey"`         // clips without grey may take it over from another
	Region     *geometry.Rect `json:"region"`            // of the first patch; nil without one

	Display *display.File `json:"display,omitempty"` // the user's display transform; nil for the built-in rendering

	Config string `json:"config,omitempty"` // file of the user's own defaults; empty where none was read

	Pictures bool `json:"-"` // stills are to be taken, once grey is settled
	Threads  int  `json:"-"` // for decoding and measuring one clip
}

// A Judgement is what a clip is judged by.
type Judgement struct {
	Target   curve.Stops  // placement wanted after the correction
	Intended *curve.Stops // placement exposed at on purpose; nil for none named
	Rules    rule.Asked   // of its folder
}

// JudgedBy returns what the clips of a folder are judged by: what its rules name, or else the
// settings for all.
func (s Settings) JudgedBy(folder string) Judgement {
	asked := s.Rules.For(folder)
	j := Judgement{s.Target, s.Intended, asked}
	if t := asked.Target(); t != nil {
		j.Target = *t
	}
	if i := asked.Intended(); i != nil {
		j.Intended = i
	}
	return j
}

// A Source is a clip's frames: a *decode.Clip, or frames in memory.
type Source interface {
	Info() decode.Info
	Read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error
}

// A Result is everything measured in one clip. It does not change once made.
type Result struct {
	Settled    metadata.Settled     // how the clip was read
	Groups     int                  // of consecutive frames
	Frames     int                  // measured
	Lost       int                  // present but not decodable
	Change     *decode.FormatChange // of the picture, up to which the clip is measured; nil without one
	Placement  *placement.Placement // by what the clip itself shows; nil where what was asked for was not found
	Noise      noise.Result         // as recorded
	Clipping   clipping.Result      // what clipped and what is left
	Variation  variation.Result     // how exposure moved
	Levels     levels.Result        // how luma is spread
	Patches    curve.Stops          // by how much two areas the user gave disagree; unknown without two
	LossyCodec bool                 // coding discards part of the picture
	Overlays   []overlay.Area       // mattes, logos: no light; left out of everything else
	Moments    []Moment             // one a group
}

// A Moment is one group of frames.
type Moment struct {
	T         curve.Seconds `json:"t_s"`               // of its first frame
	Placement curve.Stops   `json:"placement_stops"`   // over nominal; unknown where grey is weak or not seen
	Level     curve.Stops   `json:"scene_level_stops"` // log-average of the frame, recorded
	Floor     curve.Stops   `json:"floor_stops"`       // recorded stops where SNR is 1
	Clipped   curve.Share   `json:"clipped_any"`       // of the frame, in at least one channel
}
