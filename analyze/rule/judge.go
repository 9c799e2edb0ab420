package rule

import (
	"fmt"
	"math"
	"strings"

	"stopledger/curve"
)

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

var infinite = math.Inf(1)

// zero writes no minus sign before what rounds to nothing in the formats used here.
func zero(v float64) float64 {
	if math.Abs(v) < 0.005 {
		return 0
	}
	return v
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
	said := fmt.Sprintf("signal-to-noise %s is %.1f dB (%.1f to %.1f)",
		least.Scene.FromGrey(), zero(f.Value), zero(f.Low), zero(f.High))
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
