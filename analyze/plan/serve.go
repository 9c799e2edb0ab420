package plan

import (
	"fmt"
	"maps"
	"math"

	"stopledger/analyze/clipping"
	"stopledger/analyze/limit"
	"stopledger/analyze/noise"
	"stopledger/curve"
)

// A Clip is what a profile may tell more of.
type Clip struct {
	ISO     int           // it was recorded at; 0 where it does not say
	Camera  string        // make and model; "" where it does not say
	Reading curve.Reading // with which it was read
}

// Served is what a profile tells of a clip.
type Served struct {
	Noise    noise.Result    // with the profile's, where the clip hides it
	Clipping clipping.Result // with the profile's ceiling, where nothing clips
	Used     string          // what it tells, a sentence; empty for nothing
	Unused   string          // why it tells nothing, a sentence; empty where it may
	Doubt    string          // what in the clip contradicts it, a sentence; empty for nothing
}

// Serve tells of a clip what it does not show itself: the camera's noise where the clip hides it, and the
// ceiling where nothing clips. It goes by the clip's ISO, and is of one camera and curve.
func (p *Profile) Serve(c Clip, n noise.Result, clip clipping.Result) Served {
	s := Served{Noise: n, Clipping: clip}
	one := p.At(c.ISO)
	switch name := c.Reading.Curve.Name; {
	case name != p.Curve || c.Reading.Curve.Index != p.Index && p.Index != 0:
		s.Unused = fmt.Sprintf("The camera's profile is of %s, and the clip was read as %s: it is not used.", p.Curve, name)
	case p.Camera != "" && c.Camera != "" && p.Camera != c.Camera:
		s.Unused = fmt.Sprintf("The profile is of a %s, and the clip of a %s: it is not used.", p.Camera, c.Camera)
	case c.ISO == 0:
		s.Unused = "The clip does not say its ISO, by which the camera's profile goes: it is not used."
	case one == nil:
		s.Unused = fmt.Sprintf("The camera's profile has no ISO %d: it is not used.", c.ISO)
	default:
		s.by(one, c.Reading)
	}
	return s
}

// by serves by one ISO.
func (s *Served) by(one *ISO, r curve.Reading) {
	if s.Doubt = s.contradicts(one); s.Doubt != "" {
		return
	}
	var told []string
	if s.Noise.Hides() && one.Known() {
		camera := one.Camera
		s.Noise.Profile = &camera
		told = append(told, fmt.Sprintf("the camera's noise, which the clip hides: a floor of %s", one.Floor.Signed(1)))
	}
	if s.Clipping.Ceiling.Origin == clipping.CurveEnd && one.Origin == clipping.Measured {
		s.setCeiling(one, r)
		told = append(told, fmt.Sprintf("the ceiling, as nothing clips: %s", one.Ceiling.Signed(1)))
	}
	switch len(told) {
	case 1:
		s.Used = fmt.Sprintf("The camera's profile at ISO %d tells %s.", one.ISO, told[0])
	case 2:
		s.Used = fmt.Sprintf("The camera's profile at ISO %d tells %s, and %s.", one.ISO, told[0], told[1])
	}
}

// contradicts tells what in the clip cannot be of a camera at this ISO, "" for nothing.
func (s *Served) contradicts(one *ISO) string {
	c := &s.Clipping
	if one.Origin != clipping.Measured {
		return ""
	}
	off := c.Ceiling.Recorded - one.Ceiling
	switch {
	case c.Ceiling.Origin == clipping.Measured && math.Abs(float64(off)) > float64(limit.ProfileOff):
		return fmt.Sprintf("The clip clips at %s and the camera's profile at ISO %d at %s: another setting or another "+
			"camera; it is not used.", c.Ceiling.Recorded.Signed(1), one.ISO, one.Ceiling.Signed(1))
	case c.Ceiling.Origin == clipping.CurveEnd && c.Brightest > one.Ceiling+limit.ProfileOff:
		return fmt.Sprintf("Content of the clip lies at %s, above the ceiling of the camera's profile at ISO %d, %s: it is "+
			"not used.", c.Brightest.Signed(1), one.ISO, one.Ceiling.Signed(1))
	}
	return ""
}

// setCeiling takes the profile's ceilings for those of a clip in which nothing clips.
func (s *Served) setCeiling(one *ISO, r curve.Reading) {
	c := &s.Clipping
	at := r.CodeOf(one.Ceiling.Light())
	c.Ceiling = clipping.Ceiling{Level: r.Level(at), Recorded: one.Ceiling, Origin: clipping.Profile}
	c.Each = maps.Clone(c.Each)
	for name, code := range map[string]curve.Code{"r": one.Ceilings.R, "g": one.Ceilings.G, "b": one.Ceilings.B} {
		if curve.Finite(code) && c.Each != nil {
			c.Each[name] = clipping.Level{Code: code, Origin: clipping.Profile}
		}
	}
	if curve.Finite(c.Headroom) {
		c.Headroom, c.Bound = max(one.Ceiling-c.Brightest, 0), ""
	}
}
