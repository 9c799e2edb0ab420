package report

import (
	"image"
	"image/color"
	"math"

	"stopledger/analyze"
)

// The stop map has one colour for each half stop from mapLow to mapHigh recorded stops, the
// same for every clip, so that two maps can be compared by eye. What lies outside has the
// colour of the nearer end.
const (
	mapLow      = -7
	mapHigh     = 7
	mapBands    = 2 * (mapHigh - mapLow)
	mapEnlarged = 2 // pixels of the picture to one of the map, so that hatching stays fine
	floorCell   = 6 // pixels of the map
	hatchPeriod = 9 // pixels from one line of a hatch to the next
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

// bandColour returns the colour of a half stop; band 0 begins at mapLow.
func bandColour(band int) color.RGBA { return cividis((float64(band) + 0.5) / mapBands) }

// bandOf returns the band of a level in recorded stops.
func bandOf(stops float64) int {
	return int(math.Min(math.Max((stops-mapLow)*2, 0), mapBands-1))
}

// stopMap draws a still as a map of recorded stops. Rising double lines, light and dark, lie
// where a channel clipped; falling light lines where the level is under the floor, which may be
// nil, on the mean of squares of floorCell pixels: single pixels near the floor are noise.
func stopMap(s *analyze.Still, matrix string, floor *float64) *image.Paletted {
	const n = mapEnlarged
	stops, under := stopsOf(s, matrix), underFloor(s, matrix, floor)
	img := image.NewPaletted(image.Rect(0, 0, s.Width*n, s.Height*n), mapPalette())
	for y := range s.Height * n {
		row := img.Pix[y*img.Stride : y*img.Stride+s.Width*n]
		for x := range row {
			i := y/n*s.Width + x/n
			row[x] = uint8(bandOf(stops[i]))
			switch {
			case s.Clipped[i] != 0:
				row[x] = risingHatch(x, y, row[x])
			case under[i]:
				row[x] = fallingHatch(x, y, row[x])
			}
		}
	}
	return img
}

// underFloor tells for every pixel whether the square it lies in is under the floor.
func underFloor(s *analyze.Still, matrix string, floor *float64) []bool {
	under := make([]bool, s.Width*s.Height)
	level, ok := known(floor)
	if !ok {
		return under
	}
	kr, kg, kb := lumaWeights(matrix)
	light := make([]float32, len(under))
	for i := range light {
		light[i] = kr*s.R[i] + kg*s.G[i] + kb*s.B[i]
	}
	across, down := max(s.Width/floorCell, 1), max(s.Height/floorCell, 1)
	if s.Width < floorCell || s.Height < floorCell {
		return under
	}
	means := boxMean(light, s.Width, across, down, floorCell)
	limit := float32(nominalGrey * math.Exp2(level))
	for i := range under {
		x, y := min(i%s.Width/floorCell, across-1), min(i/s.Width/floorCell, down-1)
		under[i] = means[y*across+x] < limit
	}
	return under
}

// risingHatch returns the palette index of a pixel in a clipped area: a dark line beside a
// light one, so that it shows on any colour.
func risingHatch(x, y int, ground uint8) uint8 {
	switch (x + y) % hatchPeriod {
	case 0, 1:
		return hatchDark
	case 2, 3:
		return hatchLight
	}
	return ground
}

// fallingHatch returns the palette index of a pixel under the floor.
func fallingHatch(x, y int, ground uint8) uint8 {
	if (x-y+hatchPeriod*(1<<16))%hatchPeriod == 0 {
		return hatchLight
	}
	return ground
}

// clippedOverlay draws where a still clipped, to be laid over another picture: one line where
// one or two channels did, crossed lines where all three did, and nothing elsewhere.
func clippedOverlay(s *analyze.Still) *image.Paletted {
	palette := color.Palette{color.RGBA{}, color.Gray{0xf4}, color.Gray{0x10}}
	img := image.NewPaletted(image.Rect(0, 0, s.Width, s.Height), palette)
	for y := range s.Height {
		for x := range s.Width {
			clipped := s.Clipped[y*s.Width+x]
			if clipped == 0 {
				continue
			}
			ink := lineInk(x + y)
			if clipped == 7 && ink == 0 {
				ink = lineInk(x - y + hatchPeriod*(1<<16))
			}
			img.Pix[y*img.Stride+x] = ink
		}
	}
	return img
}

func lineInk(along int) uint8 {
	switch along % hatchPeriod {
	case 0, 1:
		return 2
	case 2, 3:
		return 1
	}
	return 0
}
