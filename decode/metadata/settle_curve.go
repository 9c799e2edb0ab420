package metadata

import (
	"cmp"
	"math"
	"strings"

	"stopledger/curve"
)

// chooseCurve goes by the flag, then by what the clip says, most trusted first, then by the
// assumption.
func (s *Settled) chooseCurve(path string, r Record, a ReadAs) (*curve.Curve, error) {
	switch {
	case a.Curve.Curve != nil:
		s.CurveOrigin = OriginFlag
		return s.atIndex(path, a.Curve.Curve, r.Camera, a)
	case r.Curve != nil:
		s.CurveOrigin = r.Curve.Origin
		c, err := curve.Find(r.Curve.Curve)
		if err != nil {
			what := r.Curve.String() + ", which is not a curve known here"
			return nil, &SettleError{Path: path, What: what, Do: "name the curve with --curve", Err: err}
		}
		return s.atIndex(path, c, r.Camera, a)
	case a.Assume.Curve != nil:
		s.CurveOrigin, s.Assumed = cmp.Or(a.AssumedBy, OriginAssumed), true
		return s.atIndex(path, a.Assume.Curve, r.Camera, a)
	}
	return nil, unknownCurve(path, r)
}

// atIndex returns a curve that differs with the exposure index at the one the user gave, else at
// the one the clip was recorded at, else at that of the user's own defaults.
func (s *Settled) atIndex(path string, c *curve.Curve, camera *Camera, a ReadAs) (*curve.Curve, error) {
	if c.Indexes() == nil || hasIndex(c) {
		if a.Index != 0 && a.IndexBy != OriginConfig && !hasIndex(c) {
			s.doubt(IndexUnused, false, "--ei %d changes nothing here: %s is the same at every exposure index.", a.Index, c.Name)
		}
		return c, nil
	}
	index := a.Index
	if (index == 0 || a.IndexBy == OriginConfig) && camera != nil && camera.ExposureIndex != nil {
		index = int(math.Round(float64(*camera.ExposureIndex)))
	}
	if index == 0 {
		const unsaid = "%s differs with the exposure index, which is not said: it is read at %d; --ei names another."
		s.doubt(CurveDoubt, false, unsaid, c.Name, c.Index)
		return c, nil
	}
	at, err := c.WithIndex(index)
	if err != nil {
		return nil, &SettleError{Path: path, What: err.Error(), Do: "name the exposure index with --ei", Err: err}
	}
	return at, nil
}

const indexMark = " EI" // before the index in a curve's name

func hasIndex(c *curve.Curve) bool { return strings.Contains(c.Name, indexMark) }

// withoutIndex returns the published name of a curve.
func withoutIndex(c *curve.Curve) string {
	name, _, _ := strings.Cut(c.Name, indexMark)
	return name
}
