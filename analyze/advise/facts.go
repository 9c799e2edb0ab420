package advise

import (
	"stopledger/analyze/clipping"
	"stopledger/analyze/levels"
	"stopledger/analyze/noise"
	"stopledger/analyze/overlay"
	"stopledger/analyze/placement"
	"stopledger/analyze/variation"
	"stopledger/curve"
)

// Facts are what advice rests on. Placement and Levels may be nil, Noise and Clipping not.
type Facts struct {
	Placement *placement.Placement // settled: the clip's own or carried over; nil when nothing was found
	Noise     *noise.Result        // as recorded
	Clipping  *clipping.Result     // what clipped and what is left
	Variation variation.Result     // how exposure moved over the clip
	Levels    *levels.Result       // how luma is spread; nil leaves range and depth unjudged
	Patches   curve.Stops          // by how much two areas the user gave disagree; unknown without two

	Reading    curve.Reading  // with which codes were read
	Assumed    bool           // the curve is assumed: every number rests on it
	LossyCodec bool           // coding discards part of the picture
	Interlaced bool           // two fields a frame
	Overlays   []overlay.Area // what lies over the picture and is no light
	Truncated  bool           // the file ends before it says it does
	Lost       int            // frames that could not be decoded
	Change     string         // how the picture changes, and after which frame; "" where it does not
	Doubts     []Finding      // of how the clip is to be read, from its metadata

	Target curve.Stops   // placement wanted after the correction, over nominal
	Lifts  []curve.Stops // under which shadows are judged; empty for the usual ones
}

// usable returns the placement as a ground for a correction, nil where it is none.
func (f Facts) usable() *placement.Placement {
	if f.Placement == nil || f.Placement.Weak || !curve.Finite(f.Placement.Stops) {
		return nil
	}
	return f.Placement
}
