package display

import (
	"math"

	"stopledger/curve"
)

// Constants of CIE L* in the exact form of CIE 15 (from memory): below the limit it is a straight
// line through zero, which meets the cube root in value and slope.
const (
	straightLimit = 216.0 / 24389 // (6/29)^3
	straightSlope = 24389.0 / 27  // (29/3)^3
)

// Lightness returns CIE L* of the display's light, 0..100: 116 y^(1/3) - 16, and a straight line
// below 216/24389. No light and less has 0.
func (y Light) Lightness() curve.Ratio {
	if y > straightLimit {
		return curve.Ratio(116*math.Cbrt(float64(y)) - 16)
	}
	return curve.Ratio(straightSlope * math.Max(float64(y), 0))
}

// LightnessSlope returns the derivative of Lightness: L* per unit of the display's light.
func (y Light) LightnessSlope() curve.Ratio {
	if y > straightLimit {
		return curve.Ratio(116.0 / 3 * math.Pow(float64(y), -2.0/3))
	}
	return straightSlope
}
