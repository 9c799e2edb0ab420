package placement

import (
	"math"

	"stopledger/analyze/limit"
)

// SameObject tells whether two takes' greys were read from the same object: a chart, or what lies
// about as large in about the same place. That both lie in the same light is taken for granted.
func SameObject(a, b *Placement) bool {
	switch {
	case a == nil || b == nil || a.Method != b.Method || a.Reflectance != b.Reflectance:
		return false
	case a.Carried != "" || b.Carried != "" || a.Method == Scene:
		return false
	case a.Method == Chart:
		return true
	}
	return a.Region != nil && b.Region != nil && samePlace(a, b)
}

// samePlace tells whether the areas of two placements are about as large and lie near each other.
func samePlace(a, b *Placement) bool {
	side := func(p *Placement) float64 { return math.Sqrt(float64(p.Region.W) * float64(p.Region.H)) }
	x := func(p *Placement) float64 { return float64(p.Region.X) + float64(p.Region.W)/2 }
	y := func(p *Placement) float64 { return float64(p.Region.Y) + float64(p.Region.H)/2 }
	small, large := min(side(a), side(b)), max(side(a), side(b))
	apart := math.Hypot(x(a)-x(b), y(a)-y(b))
	return large <= float64(limit.SameSize)*small && apart <= float64(limit.SamePlace)*large
}
