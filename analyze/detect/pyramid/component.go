package pyramid

import (
	"math"

	"stopledger/decode/geometry"
)

// A Component is one connected component of flat pixels. Coordinates and area are the level's.
type Component struct {
	Area       int            // pixels
	Centre     geometry.Point // mean of its pixels' places
	XX, YY, XY float64        // central second moments over the area
	Y, U, V    float64        // mean signal, 12-bit scale

	first, last int // its runs
	left, right int // bounds, right and bottom beyond
	top, bottom int
}

// Squareness compares the area with the one a parallelogram of the same moments would have: 1
// for any parallelogram, 1.05 for an ellipse, less for anything ragged.
func (b *Component) Squareness() float64 {
	// A pixel's own extent is part of the second moments, so that one pixel is a square too.
	xx, yy := b.XX+1.0/12, b.YY+1.0/12
	return float64(b.Area) / (12 * math.Sqrt(math.Max(xx*yy-b.XY*b.XY, 1e-9)))
}

// Elongation returns the ratio of the long to the short axis of the moments.
func (b *Component) Elongation() float64 {
	xx, yy := b.XX+1.0/12, b.YY+1.0/12
	mean, d := (xx+yy)/2, math.Hypot((xx-yy)/2, b.XY)
	return math.Sqrt((mean + d) / math.Max(mean-d, 1e-9))
}

// Congruent reports whether two components are of one size, to a factor, and lie the same way: shape
// bounds the difference of their second moments as a share of a square's.
func (b *Component) Congruent(o *Component, size, shape float64) bool {
	if float64(o.Area) > size*float64(b.Area) || float64(b.Area) > size*float64(o.Area) {
		return false
	}
	area := float64(b.Area+o.Area) / 2
	off := math.Max(math.Abs(b.XX-o.XX), math.Max(math.Abs(b.YY-o.YY), 2*math.Abs(b.XY-o.XY)))
	return off < shape*area/12
}
