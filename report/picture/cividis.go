package picture

import (
	"image/color"
	"math"
)

// cividisPoints are ten colours of the cividis map at equal distances from its dark to its
// light end. Source: Nuñez, Anderton, Renslow, "Optimizing colormaps with consideration for
// color vision deficiency to enable accurate interpretation of scientific data", PLOS ONE
// 13(7) e0199239 (2018); values from memory. A test holds them against FFmpeg's own
// approximation of the same map.
var cividisPoints = [...][3]float64{
	{0x00, 0x20, 0x4d}, {0x00, 0x33, 0x6f}, {0x39, 0x48, 0x6b}, {0x57, 0x5c, 0x6d}, {0x70, 0x71, 0x73},
	{0x8a, 0x87, 0x79}, {0xa6, 0x9d, 0x75}, {0xc4, 0xb5, 0x6c}, {0xe4, 0xcf, 0x5b}, {0xff, 0xea, 0x46},
}

// cividis returns the colour at t, 0 dark to 1 light, between its neighbouring points on a
// straight line. Anything outside, and NaN, gives the nearer or the dark end.
func cividis(t float64) color.RGBA {
	last := len(cividisPoints) - 1
	if !(t > 0) {
		t = 0
	}
	at := math.Min(t, 1) * float64(last)
	i := min(int(at), last-1)
	var rgb [3]uint8
	for k := range rgb {
		a, b := cividisPoints[i][k], cividisPoints[i+1][k]
		rgb[k] = uint8(math.Round(a + (b-a)*(at-float64(i))))
	}
	return color.RGBA{rgb[0], rgb[1], rgb[2], 255}
}
