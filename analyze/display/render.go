// Package display is the built-in display rendering, used wherever the tool shows a graded picture
// or judges one: scene-linear light, already scaled by the exposure correction, is bent by a
// shoulder, encoded by the inverse of the BT.1886 display (gamma 2.4, zero black) and shown on a
// display whose white is 100 %. It also tells CIE lightness of what is shown.
package display

import (
	"math"

	"stopledger/curve"
)

// Light is light of the display, 0..1 of its white.
type Light float64

// The rendering's constants.
const (
	// knee is where the shoulder begins: skin and a 60 % reflector stay straight, the rest rolls
	// off. Common practice, no source.
	knee = 0.6
	// gamma is the exponent of the display: Recommendation ITU-R BT.1886 (2011), annex 1.
	gamma = 2.4
)

// Render returns the light of the display for scene-linear light L after the correction. Below the
// knee a reflectance shows as itself; above it the shoulder
//
//	d = knee + (1-knee) (1 - exp(-(L-knee)/(1-knee)))
//
// meets it in value and slope and approaches display white for very bright scenes. Light that is
// negative or NaN shows as black.
func Render(l curve.Light) Light {
	switch {
	case !(l > 0):
		return 0
	case l <= knee:
		return Light(l)
	}
	return Light(knee + (1-knee)*(1-math.Exp(-(float64(l)-knee)/(1-knee))))
}

// Slope returns the derivative of Render, 0 at and below no light.
func Slope(l curve.Light) curve.Ratio {
	switch {
	case l <= 0:
		return 0
	case l <= knee:
		return 1
	}
	return curve.Ratio(math.Exp(-(float64(l) - knee) / (1 - knee)))
}

// Scene returns the scene-linear light that Render shows as y, which must be below 1.
func (y Light) Scene() curve.Light {
	if y <= knee {
		return curve.Light(y)
	}
	return curve.Light(knee - (1-knee)*math.Log(1-(float64(y)-knee)/(1-knee)))
}

// Signal returns the display's signal for its light, 0..100 %: 100 y^(1/2.4). Light beyond the
// display's black and white is taken for those.
func (y Light) Signal() curve.Percent {
	return curve.Percent(100 * math.Pow(math.Min(math.Max(float64(y), 0), 1), 1/gamma))
}
