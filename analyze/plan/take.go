package plan

import (
	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// A Take is a test take of one still scene.
type Take struct {
	Path      string               // of the clip
	ISO       int                  // it was recorded at
	Camera    string               // make and model; "" where it does not say
	Curve     string               // it was read with
	Index     int                  // of a curve that has one
	Light     curve.Stops          // that iris, shutter and ND let in, from any fixed point; unknown where it does not say
	Placement *placement.Placement // of grey; nil where none was found
	Clipping  *clipping.Result     // its highlights
	Noise     *noise.Result        // its noise
	Scene     curve.Stops          // recorded, of its brightest hundredth
}

// darkest is the level below which a take shows nothing whose noise can be told from light. Common practice, no
// source.
const darkest curve.Stops = -8

// dark tells whether the lens was capped: no tone rises out of its own noise.
func (t Take) dark() bool {
	seen := false
	for _, m := range t.Noise.Made {
		if s := m.Sigma[0]; curve.Finite(s) {
			seen = true
			if m.Light > s {
				return false
			}
		} else if curve.Finite(m.Below) && m.Light > 2*m.Below {
			return false
		}
	}
	return seen || t.Scene < darkest
}

// grey returns the placement where it is a ground for anything, unknown elsewhere.
func (t Take) grey() curve.Stops {
	if p := t.Placement; p != nil && !p.Weak {
		return p.Stops
	}
	return curve.Unknown[curve.Stops]()
}
