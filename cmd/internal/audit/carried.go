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

// carries tells whether the grey of one clip holds for another: both lie in the same folder and
// were recorded with the same camera, curve and exposure.
func carries(from *report.Clip, path, curveName string, camera *metadata.Camera) bool {
	return filepath.Dir(from.Path) == filepath.Dir(path) && from.Curve.Name == curveName &&
		sameExposure(from.Camera, camera)
}

// sameExposure tells whether two clips are of the same camera and say the same of every setting
// that changes exposure. A clip that says nothing may have been shot with any.
func sameExposure(a, b *metadata.Camera) bool {
	if a == nil || b == nil || len(a.Changes) > 0 || len(b.Changes) > 0 ||
		a.Make != b.Make || a.Model != b.Model || a.Serial != b.Serial || !same(a.CaptureFPS, b.CaptureFPS, new(bool)) {
		return false
	}
	said := false
	return same(a.ISO, b.ISO, &said) && same(a.ExposureIndex, b.ExposureIndex, &said) && same(a.GainDB, b.GainDB, &said) &&
		same(a.ShutterS, b.ShutterS, &said) && same(a.ShutterAngleDeg, b.ShutterAngleDeg, &said) &&
		same(a.IrisF, b.IrisF, &said) && same(a.IrisT, b.IrisT, &said) && same(a.NDStops, b.NDStops, &said) && said
}

// same tells whether two settings are equal, or neither is said; said is set where both are.
func same[T comparable](a, b *T, said *bool) bool {
	if a == nil || b == nil {
		return a == b
	}
	*said = true
	return *a == *b
}
