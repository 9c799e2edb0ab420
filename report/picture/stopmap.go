package picture

import (
	"image"

	"stopledger/analyze/still"
	"stopledger/curve"
)

const (
	mapEnlarged = 2 // pixels of the picture to one of the map, so that hatching stays fine
	floorCell   = 6 // pixels of the map
)

// stopMap draws a still as a map of recorded stops. Rising double lines, light and dark, lie
// where a channel clipped; falling light lines where the level is under the floor, where that is
// known, on the mean of squares of floorCell pixels: single pixels near the floor are noise.
func stopMap(s *still.Still, matrix curve.Matrix, floor curve.Stops) *image.Paletted {
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
func underFloor(s *still.Still, matrix curve.Matrix, floor curve.Stops) []bool {
	under := make([]bool, s.Width*s.Height)
	across, down := s.Width/floorCell, s.Height/floorCell
	if !curve.Finite(floor) || across == 0 || down == 0 {
		return under
	}
	means := boxMean(lightOf(s, matrix), s.Width, across, down, floorCell)
	limit := float32(floor.Light())
	for i := range under {
		x, y := min(i%s.Width/floorCell, across-1), min(i/s.Width/floorCell, down-1)
		under[i] = means[y*across+x] < limit
	}
	return under
}
