package reporttest

import "math"

// Luminance returns the relative luminance of an sRGB colour of 8-bit codes: Web Content
// Accessibility Guidelines 2.2, definition of relative luminance (from memory).
func Luminance(rgb [3]float64) float64 {
	var linear [3]float64
	for i, v := range rgb {
		v /= 255
		if v <= 0.04045 {
			linear[i] = v / 12.92
		} else {
			linear[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return 0.2126*linear[0] + 0.7152*linear[1] + 0.0722*linear[2]
}
