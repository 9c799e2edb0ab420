package rule

import (
	"fmt"
	"strings"

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

// Judge returns the rules that a clip breaks, and those of which it does not tell. A figure breaks a
// rule where the whole of its interval lies beyond the limit; where the limit lies within, or nothing is
// known, that is a note of its own id and no alarm.
func (a Asked) Judge(c Clip) (out []Finding) {
	for _, judge := range []func(Asked, Clip) *Finding{
		judgePlacement, judgeSNR, judgeClipped, judgeCurve, judgeISO, judgeShutter} {
		if f := judge(a, c); f != nil {
			out = append(out, *f)
		}
	}
	return out
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

func judgePlacement(a Asked, c Clip) *Finding {
	tolerance, by := Of(a, func(s *Section) *curve.Stops { return s.Tolerance })
	if tolerance == nil {
		return nil
	}
	p := c.Placement
	said := fmt.Sprintf("grey lies at %+.2f stops (%+.2f to %+.2f)", zero(p.Value), zero(p.Low), zero(p.High))
	asked := fmt.Sprintf("%+.2f is asked for, give or take %.2f", zero(float64(c.Meant)), *tolerance)
	return p.within(float64(c.Meant-*tolerance), float64(c.Meant+*tolerance), PlacementID, by, said, asked)
}

func judgeSNR(a Asked, c Clip) *Finding {
	least, by := Of(a, func(s *Section) *SNR { return s.LeastSNR })
	if least == nil {
		return nil
	}
	f := c.SNR(least.Scene)
	said := fmt.Sprintf("signal-to-noise at scene %+g stops is %.1f dB (%.1f to %.1f)",
		zero(float64(least.Scene)), zero(f.Value), zero(f.Low), zero(f.High))
	return f.within(float64(least.Least), infinite, SNRID, by, said, fmt.Sprintf("%g dB is the least", least.Least))
}

func judgeClipped(a Asked, c Clip) *Finding {
	most, by := Of(a, func(s *Section) *curve.Share { return s.Clipped })
	if most == nil {
		return nil
	}
	f := c.Clipped
	said := fmt.Sprintf("%.2f %% of the frame is clipped (%.2f to %.2f)", 100*f.Value, 100*f.Low, 100*f.High)
	asked := fmt.Sprintf("%g %% is the most", 100*float64(*most))
	if f.Value == 0 { // nothing to be unsure of but what MayClip says
		f.Low, f.High = 0, 0
	}
	found := f.within(0, float64(*most), ClippedID, by, said, asked)
	if found == nil && c.MayClip {
		return unsure(by, "part of the frame may be clipped, and %s", asked)
	}
	return found
}

func judgeCurve(a Asked, c Clip) *Finding {
	expected, by := Of(a, func(s *Section) *[]string { return list(s.Curves) })
	if expected == nil {
		return nil
	}
	asked := strings.Join(*expected, " or ") + " is expected"
	if c.Assumed {
		return unsure(by, "the clip does not name its curve and %s is assumed, and %s", c.Curve, asked)
	}
	for _, name := range *expected {
		if name == c.Curve {
			return nil
		}
	}
	return broken(CurveID, by, "the clip was read as %s, and %s", c.Curve, asked)
}
