package audit

import (
	"path/filepath"

	"stopledger/analyze/placement"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// hasOwnGrey tells whether a placement may be carried over to clips after it: a card, a chart or
// an area the user gave, seen in the clip itself.
func hasOwnGrey(p *placement.Placement) bool {
	if p == nil || p.Weak || p.Carried != "" {
		return false
	}
	return p.Method == placement.Region || p.Method == placement.Card || p.Method == placement.Chart
}

// A refusal is why the grey of an earlier clip does not hold for another; "" where it does.
type refusal string

const (
	noEarlierGrey refusal = "no clip before it has a card, a chart or an area of its own that is sure"
	otherFolder   refusal = "it lies in another folder"
	otherCurve    refusal = "it was recorded with another curve"
	otherCamera   refusal = "it was recorded with another camera"
	noExposure    refusal = "the clips do not say how they were exposed"
	changedWithin refusal = "a setting changes within one of the clips"
	otherExposure refusal = "it was exposed otherwise"
	curveInDoubt  refusal = "this clip's own chart puts its curve in doubt"
)

// text says it of an earlier clip; from is nil where there is none.
func (r refusal) text(from *report.Clip) string {
	const begin = "Grey was not carried over"
	if from == nil || r == curveInDoubt {
		return begin + ": " + string(r) + "."
	}
	return begin + " from " + filepath.Base(from.Path) + ": " + string(r) + "."
}

// refused tells why the grey of one clip does not hold for another: both must lie in the same folder
// and be recorded with the same camera, curve and exposure.
func refused(from *report.Clip, path, curveName string, camera *metadata.Camera) refusal {
	switch {
	case from == nil:
		return noEarlierGrey
	case filepath.Dir(from.Path) != filepath.Dir(report.PlainPath(path)):
		return otherFolder
	case from.Curve.Name != curveName:
		return otherCurve
	}
	return exposedOtherwise(from.Camera, camera)
}

// exposedOtherwise tells two clips that are not of the same camera or do not say the same of every
// setting that changes exposure. A clip that says nothing may have been shot with any.
func exposedOtherwise(a, b *metadata.Camera) refusal {
	switch {
	case a == nil || b == nil:
		return noExposure
	case len(a.Changes) > 0 || len(b.Changes) > 0:
		return changedWithin
	case a.Make != b.Make || a.Model != b.Model || a.Serial != b.Serial:
		return otherCamera
	}
	said := false
	alike := same(a.CaptureFPS, b.CaptureFPS, new(bool)) &&
		same(a.ISO, b.ISO, &said) && same(a.ExposureIndex, b.ExposureIndex, &said) && same(a.GainDB, b.GainDB, &said) &&
		same(a.ShutterS, b.ShutterS, &said) && same(a.ShutterAngleDeg, b.ShutterAngleDeg, &said) &&
		same(a.IrisF, b.IrisF, &said) && same(a.IrisT, b.IrisT, &said) && same(a.NDStops, b.NDStops, &said)
	switch {
	case !alike:
		return otherExposure
	case !said:
		return noExposure
	}
	return ""
}

// same tells whether two settings are equal, or neither is said; said is set where both are.
func same[T comparable](a, b *T, said *bool) bool {
	if a == nil || b == nil {
		return a == b
	}
	*said = true
	return *a == *b
}
