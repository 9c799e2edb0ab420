package metadata

import (
	"fmt"
	"strconv"
	"strings"

	"stopledger/curve"
)

// A Value is a setting with where it came from.
type Value struct {
	Value  string `json:"value"`  // by name
	Origin Origin `json:"origin"` // what settled it
}

// A Stream is what container and codec say of a clip's samples.
type Stream struct {
	Path   string // as the user gave it
	Codec  string // FFmpeg's name
	Bits   int    // of one component
	RGB    bool   // R'G'B' planes instead of Y'CbCr
	Range  string // as tagged: narrow, full or ""
	Matrix string // as tagged: bt601, bt709, bt2020, or anything else for none of these
}

// A Settled is how one clip is to be read, each part with where it came from.
type Settled struct {
	Reading     curve.Reading // curve, range and depth
	Matrix      curve.Matrix  // of Y'CbCr
	CurveOrigin Origin        // what settled the curve
	Assumed     bool          // named by --assume: every number rests on it
	Range       Value         // narrow or full
	MatrixFrom  Value         // bt601, bt709 or bt2020
	Doubts      []Doubt       // in the order in which they are told
}

// A Doubt is a reason to doubt how a clip is read.
type Doubt struct {
	ID      DoubtID // kind
	Caution bool    // look before grading; otherwise it is good to know
	Text    string  // a sentence for people, with control characters escaped
}

// A DoubtID names a kind of doubt, as findings are named.
type DoubtID string

// Kinds of doubt.
const (
	CurveDoubt      DoubtID = "curve-doubt"
	RangeDoubt      DoubtID = "range-doubt"
	TagDoubt        DoubtID = "tag-doubt"        // colour tags differ, and the curve does not rest on them
	IndexUnused     DoubtID = "index-unused"     // the exposure index asked for changes nothing of this curve
	MetadataDamaged DoubtID = "metadata-damaged" // some metadata could not be read
)

// doubt adds a doubt. What it quotes of the file is made printable.
func (s *Settled) doubt(id DoubtID, caution bool, format string, args ...any) {
	s.Doubts = append(s.Doubts, Doubt{id, caution, Printable(fmt.Sprintf(format, args...))})
}

// A SettleError says why it is not known how a clip is to be read, and what to do.
type SettleError struct {
	Path string // as the user gave it
	What string // "no log curve is named in the file"
	Do   string // "name it with --curve ..."
	Err  error  // cause, or nil
}

// Error returns path, what and do in one line.
func (e *SettleError) Error() string {
	path := e.Path
	if path == "" || hasControls(path) {
		path = strconv.Quote(path)
	}
	what := strings.Map(func(r rune) rune {
		if !strconv.IsPrint(r) {
			return ' '
		}
		return r
	}, e.What)
	return fmt.Sprintf("%s: %s; %s", path, what, e.Do)
}

// Unwrap gives the cause.
func (e *SettleError) Unwrap() error { return e.Err }

// andMore counts what is not told of a list.
func andMore(n int) string {
	if n <= 0 {
		return ""
	}
	return fmt.Sprintf(" (and %d more)", n)
}
