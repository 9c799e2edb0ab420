package picture

import (
	"image/color"

	"stopledger/curve"
)

// The stop map has one colour for each half stop from MapLow to MapHigh recorded stops, the
// same for every clip, so that two maps can be compared by eye. What lies outside has the
// colour of the nearer end.
const (
	MapLow   = -7 // recorded stops
	MapHigh  = 7
	mapBands = 2 * (MapHigh - MapLow)
)

// Colours of the stop map's palette after its bands.
const (
	hatchLight = mapBands + iota
	hatchDark
)

func mapPalette() color.Palette {
	p := make(color.Palette, 0, mapBands+2)
	for band := range mapBands {
		p = append(p, bandColour(band))
	}
	return append(p, color.Gray{0xf4}, color.Gray{0x10})
}

// BandColours returns the colours of the stop map's half stops, from MapLow to MapHigh.
func BandColours() []color.RGBA {
	colours := make([]color.RGBA, mapBands)
	for i := range colours {
		colours[i] = bandColour(i)
	}
	return colours
}

// bandColour returns the colour of a half stop; band 0 begins at MapLow.
func bandColour(band int) color.RGBA { return cividis((float64(band) + 0.5) / mapBands) }

// bandOf returns the band of a level in recorded stops.
func bandOf(stops curve.Stops) int {
	return int(min(max((stops-MapLow)*2, 0), mapBands-1))
}
