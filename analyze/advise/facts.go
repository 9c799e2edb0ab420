package advise

import (
	"fmt"

	"stopledger/analyze/clipping"
	"stopledger/analyze/display"
	"stopledger/analyze/levels"
	"stopledger/analyze/noise"
	"stopledger/analyze/overlay"
	"stopledger/analyze/placement"
	"stopledger/analyze/rule"
	"stopledger/analyze/variation"
	"stopledger/curve"
	"stopledger/decode/metadata"
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

	Display *display.Rendering // after the correction; nil for the built-in one

	Camera *metadata.Camera // nil where the recording says nothing
	Rate   curve.Amount     // frames a second

	Target   curve.Stops   // placement wanted after the correction, over nominal
	Intended *curve.Stops  // placement exposed at on purpose; nil where none is named
	Rules    rule.Asked    // of the clip's folder
	Lifts    []curve.Stops // under which shadows are judged; empty for the usual ones
}

// meant is the placement that a clip is judged by: the one exposed at on purpose, or else the target.
func (f Facts) meant() curve.Stops {
	if f.Intended != nil {
		return *f.Intended
	}
	return f.Target
}

// meantWords name meant in a sentence.
func (f Facts) meantWords() string {
	if f.Intended != nil {
		return fmt.Sprintf("the intended %.1f", curve.Round(*f.Intended, 1))
	}
	return "the target"
}

// usable returns the placement as a ground for a correction, nil where it is none.
func (f Facts) usable() *placement.Placement {
	if f.Placement == nil || f.Placement.Weak || !curve.Finite(f.Placement.Stops) {
		return nil
	}
	return f.Placement
}
