package metadata

import "stopledger/curve"

// ReadAs is what the user says of how clips are to be read. The zero value asks for everything
// from the clip itself.
type ReadAs struct {
	Curve  CurveName  `json:"curve"`  // named with --curve; none for auto
	Assume CurveName  `json:"assume"` // for clips that name no curve; none leaves them unmeasured
	Index  int        `json:"ei"`     // exposure index for curves that have one; 0 for auto
	Range  RangeName  `json:"range"`  // narrow, full or auto
	Matrix MatrixName `json:"matrix"` // bt601, bt709, bt2020 or auto
}

// A CurveName is a curve with the name or the path under which the user asked for it.
type CurveName struct {
	Given string
	Curve *curve.Curve // nil for none
}

// A RangeName is narrow, full or auto.
type RangeName string

// A MatrixName is bt601, bt709, bt2020 or auto.
type MatrixName string

// A Value is a setting with where it came from.
type Value struct {
	Value  string `json:"value"`
	Origin Origin `json:"origin"`
}

// A Stream is what container and codec say of a clip's samples.
type Stream struct {
	Path   string
	Codec  string // FFmpeg's name
	Bits   int
	RGB    bool
	Range  string // as tagged: narrow, full or ""
	Matrix string // as tagged, or ""
}

// A Settled is how one clip is to be read, each part with where it came from.
type Settled struct {
	Reading     curve.Reading
	Matrix      curve.Matrix
	CurveOrigin Origin
	Assumed     bool // named by --assume: every number rests on it
	Range       Value
	MatrixFrom  Value
	Doubts      []Doubt
}

// A Doubt is a reason to doubt how a clip is read.
type Doubt struct {
	About   string // curve, range or metadata
	Caution bool   // look before grading; otherwise it is good to know
	Text    string // a sentence for people
}

// A SettleError says why it is not known how a clip is to be read, and what to do.
type SettleError struct {
	Path string
	What string
	Do   string
	Err  error // cause, or nil
}

// Settle finds out how a clip is to be read. A clip whose curve is not known is a *SettleError
// that says how to name it: a guess would shift every number by stops.
func Settle(s Stream, r Record, a ReadAs) (Settled, error) { panic("not moved yet") }
