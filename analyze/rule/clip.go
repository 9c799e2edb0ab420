package rule

import (
	"fmt"

	"stopledger/curve"
	"stopledger/decode/metadata"
)

// IDs of what is found by rules.
const (
	PlacementID = "rule-placement" // grey is not where it is to be
	SNRID       = "rule-snr"       // a tone is noisier than allowed
	ClippedID   = "rule-clipped"   // more of the frame is clipped than allowed
	ISOID       = "rule-iso"       // an ISO that is not allowed
	ShutterID   = "rule-shutter"   // a shutter that is not allowed
	CurveID     = "rule-curve"     // another curve than expected
	UnsureID    = "rule-unsure"    // the clip does not tell whether a rule is kept
)

// A Figure is a number with its 95 % interval. Without either it is unknown.
type Figure struct {
	Value, Low, High float64
	Unknown          string // why there is none, a clause; empty where there is one
}

// A Clip is what is known of a clip that rules ask about.
type Clip struct {
	Placement Figure                        // stops over nominal
	Meant     curve.Stops                   // the placement it is judged by
	SNR       func(tone curve.Stops) Figure // dB, at stops from the subject's grey
	Clipped   Figure                        // share of the frame, 0..1
	MayClip   bool                          // that more is clipped cannot be told
	Curve     string                        // published name it was read with
	Assumed   bool                          // which the clip does not say
	Camera    *metadata.Camera              // nil where the recording says nothing
	Rate      curve.Amount                  // frames a second
}

// A Finding is a rule that was broken, or of which the clip does not tell.
type Finding struct {
	ID    string // one of those above
	Level Level  // before Levels
	Text  string // a sentence that names the rule
}

// broken is a rule that is not kept.
func broken(id, by, format string, args ...any) *Finding {
	return &Finding{id, Alarm, fmt.Sprintf("Rule %q is broken: %s.", by, fmt.Sprintf(format, args...))}
}

// unsure is a rule of which the clip does not tell.
func unsure(by, format string, args ...any) *Finding {
	return &Finding{UnsureID, Note,
		fmt.Sprintf("Whether rule %q is kept cannot be told: %s.", by, fmt.Sprintf(format, args...))}
}

// within judges a figure by the limits it is to lie between. said is a clause with the figure in it,
// asked one with the limits.
func (f Figure) within(low, high float64, id, by, said, asked string) *Finding {
	switch {
	case f.Unknown != "":
		return unsure(by, "%s, and %s", f.Unknown, asked)
	case f.Low >= low && f.High <= high:
		return nil
	case f.High < low || f.Low > high:
		return broken(id, by, "%s, and %s", said, asked)
	}
	return unsure(by, "%s, which leaves both open, and %s", said, asked)
}
