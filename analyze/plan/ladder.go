package plan

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// Measure makes a camera's profile of test takes of one still scene. Reading is that of the curve. It fails
// where the takes are of several cameras or curves, or there is none.
func Measure(takes []Take, r curve.Reading) (*Profile, error) {
	if err := alike(takes); err != nil {
		return nil, err
	}
	p := &Profile{Camera: takes[0].Camera, Curve: takes[0].Curve, Index: takes[0].Index, Notes: []string{}}
	byISO := map[int][]Take{}
	for _, t := range takes {
		byISO[t.ISO] = append(byISO[t.ISO], t)
		p.Camera = cmp.Or(p.Camera, t.Camera)
	}
	joints := map[int]*noise.Joint{}
	for iso, of := range byISO {
		one, joint := atISO(iso, of, r)
		p.ISOs, joints[iso] = append(p.ISOs, one), joint
	}
	slices.SortFunc(p.ISOs, func(a, b ISO) int { return cmp.Compare(a.ISO, b.ISO) })
	p.Derive()
	p.findBases()
	p.findGain()
	p.Exposures = exposures(takes, p.BaseISOs)
	p.Notes = append(p.Notes, p.limits(takes, joints)...)
	return p, nil
}

// alike fails where takes are not of one camera and curve.
func alike(takes []Take) error {
	if len(takes) == 0 {
		return errors.New("a profile takes one take at least")
	}
	first := takes[0]
	for _, t := range takes {
		switch {
		case t.Curve != first.Curve || t.Index != first.Index:
			return fmt.Errorf("%s is of %s, and %s of %s: a profile holds for one curve", t.Path, t.curveWords(), first.Path,
				first.curveWords())
		case t.Camera != "" && first.Camera != "" && t.Camera != first.Camera:
			return fmt.Errorf("%s is of a %s, and %s of a %s: a profile holds for one camera", t.Path, t.Camera, first.Path,
				first.Camera)
		case t.Camera != "":
			first = t
		}
	}
	return nil
}

func (t Take) curveWords() string {
	if t.Index == 0 {
		return t.Curve
	}
	return fmt.Sprintf("%s EI%d", t.Curve, t.Index)
}

// atISO sums up the takes of one ISO, and returns their photon transfer, nil without one.
func atISO(iso int, takes []Take, r curve.Reading) (ISO, *noise.Joint) {
	one := ISO{ISO: iso, Takes: len(takes)}
	var lit, dark []*noise.Result
	var losses []float64
	for _, t := range takes {
		if t.dark() {
			one.Dark++
			dark = append(dark, t.Noise)
		} else {
			lit = append(lit, t.Noise)
		}
		if v := t.Noise.Coding.Loss; curve.Finite(v) {
			losses = append(losses, float64(v))
		}
	}
	one.Reduced = reduced(lit)
	one.Coding = curve.Decibels(robust.Median(losses))
	joint, reason := noise.Joined(lit, dark)
	one.setNoise(joint, reason, takes)
	one.setCeilings(takes, r)
	return one, joint
}

// reduced returns the kinds of noise reduction in the camera that all lit takes show; never nil.
func reduced(lit []*noise.Result) []noise.Cause {
	all := []noise.Cause{}
	for _, c := range []noise.Cause{noise.TemporalReduction, noise.SpatialReduction, noise.MotionOrReduction} {
		lacks := func(r *noise.Result) bool { return !slices.Contains(r.Causes, c) }
		if len(lit) > 0 && !slices.ContainsFunc(lit, lacks) {
			all = append(all, c)
		}
	}
	return all
}

// setNoise sets the photon transfer, or why there is none.
func (one *ISO) setNoise(j *noise.Joint, reason string, takes []Take) {
	if j == nil {
		one.Camera = noise.UnknownCamera()
		one.Reason = reason
		for _, t := range takes {
			one.Reason = cmp.Or(t.Noise.Reason, t.Noise.Unmeasured, one.Reason)
		}
		return
	}
	one.Camera = j.Camera()
}

// setCeilings takes the ceilings of the takes that clip: medians, and of all channels the first to clip. Where
// recordings only roll off, it is where they are seen to; where none does either, where the curve's end.
func (one *ISO) setCeilings(takes []Take, r curve.Reading) {
	var codes [3][]float64
	var shoulders []float64
	for _, t := range takes {
		for i, name := range []string{"r", "g", "b"} {
			switch l := t.Clipping.Each[name]; l.Origin {
			case clipping.Measured:
				codes[i] = append(codes[i], float64(l.Code))
			case clipping.Shoulder:
				shoulders = append(shoulders, float64(l.Code))
			}
		}
	}
	one.Ceilings = Ceilings{curve.Code(robust.Median(codes[0])), curve.Code(robust.Median(codes[1])),
		curve.Code(robust.Median(codes[2]))}
	first := curve.Unknown[curve.Code]()
	for _, c := range []curve.Code{one.Ceilings.R, one.Ceilings.G, one.Ceilings.B} {
		if curve.Finite(c) && !(c >= first) {
			first = c
		}
	}
	switch {
	case curve.Finite(first):
		one.Ceiling, one.Origin = r.Stops(r.FileCode(first)), clipping.Measured
	case len(shoulders) > 0:
		one.Ceiling, one.Origin = r.Stops(r.FileCode(curve.Code(robust.Median(shoulders)))), clipping.Shoulder
	default:
		one.Ceiling, one.Origin = r.Stops(r.Limit()), clipping.CurveEnd
	}
}
