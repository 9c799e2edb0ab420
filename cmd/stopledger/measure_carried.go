package main

import (
	"context"
	"math"
	"path/filepath"

	"stopledger/analyze"
	"stopledger/report"
)

// carriedGrey returns the placement of the last clip with grey of its own, where this one has
// none and was shot in the same folder with the same camera, curve and exposure; otherwise the
// clip's own.
func carriedGrey(ctx context.Context, r *analyze.Result, path string, camera *report.Camera, s auditSettings) *analyze.Placement {
	own := r.Placement
	if s.HeldGrey == nil || (own != nil && !own.Weak) {
		return own
	}
	held := s.HeldGrey(ctx)
	if held == nil || filepath.Dir(held.Path) != filepath.Dir(path) || held.Curve.Name != r.Reading.Curve.Name ||
		!sameExposure(held.Camera, camera) {
		return own
	}
	p := held.Placement
	carried := &analyze.Placement{Stops: p.Stops, Low: p.Low, High: p.High, Method: p.Method, Carried: held.Path,
		Reflectance: p.Reflectance, Code: r.Reading.CodeOf(p.Reflectance * math.Exp2(p.Stops)),
		Confidence: math.NaN(), Drift: math.NaN()}
	if own != nil {
		carried.Candidates = own.Candidates
	}
	return carried
}

// sameExposure tells whether two clips are of the same camera and say the same of every setting
// that changes exposure. A clip that says nothing may have been shot with any.
func sameExposure(a, b *report.Camera) bool {
	if a == nil || b == nil || len(a.Changes) > 0 || len(b.Changes) > 0 ||
		a.Make != b.Make || a.Model != b.Model || a.Serial != b.Serial || !same(a.CaptureFPS, b.CaptureFPS) {
		return false
	}
	said := false
	for _, pair := range [][2]*float64{{a.ISO, b.ISO}, {a.ExposureIndex, b.ExposureIndex}, {a.GainDB, b.GainDB}, {a.ShutterS, b.ShutterS},
		{a.ShutterDeg, b.ShutterDeg}, {a.IrisF, b.IrisF}, {a.IrisT, b.IrisT}, {a.NDStops, b.NDStops}} {
		if !same(pair[0], pair[1]) {
			return false
		}
		said = said || pair[0] != nil
	}
	return said
}

// same tells whether two settings are equal, or neither is said.
func same(a, b *float64) bool {
	if a == nil || b == nil {
		return a == b
	}
	return *a == *b
}
