package analyze

import "math"

// The display rendering, ours and simple, used wherever the tool shows or judges a graded
// picture: scene-linear light is scaled by the exposure correction, bent by a shoulder, encoded
// by the inverse of the BT.1886 display (gamma 2.4, zero black) and shown on a display whose
// white is 100 %.
//
// Below the knee a reflectance shows as itself; above, the shoulder
//
//	d = knee + (1-knee) (1 - exp(-(L-knee)/(1-knee)))
//
// meets it in value and slope and approaches display white for very bright scenes. The knee is
// common practice, no source: skin and a 60 % reflector stay straight, the rest rolls off.
const (
	displayKnee  = 0.6
	displayGamma = 2.4 // Recommendation ITU-R BT.1886 (2011), annex 1
)

// DisplayLight returns the light of the display, 0..1 of its white, for scene-linear light
// after the correction. Negative light shows as black.
func DisplayLight(linear float64) float64 {
	switch {
	case !(linear > 0):
		return 0
	case linear <= displayKnee:
		return linear
	}
	return displayKnee + (1-displayKnee)*(1-math.Exp(-(linear-displayKnee)/(1-displayKnee)))
}

// DisplaySlope returns the derivative of DisplayLight.
func DisplaySlope(linear float64) float64 {
	switch {
	case linear <= 0:
		return 0
	case linear <= displayKnee:
		return 1
	}
	return math.Exp(-(linear - displayKnee) / (1 - displayKnee))
}

// DisplaySignal returns the display's signal, 0..1, for light of the display.
func DisplaySignal(light float64) float64 {
	return math.Pow(math.Min(math.Max(light, 0), 1), 1/displayGamma)
}

// Lightness returns CIE L* of a display's light, 0..1 of its white (CIE 15, from memory).
func Lightness(y float64) float64 {
	if y > 216.0/24389 {
		return 116*math.Cbrt(y) - 16
	}
	return 24389.0 / 27 * math.Max(y, 0)
}

// LightnessSlope returns the derivative of Lightness.
func LightnessSlope(y float64) float64 {
	if y > 216.0/24389 {
		return 116.0 / 3 * math.Pow(y, -2.0/3)
	}
	return 24389.0 / 27
}
