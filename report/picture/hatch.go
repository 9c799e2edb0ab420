package picture

import (
	"image"
	"image/color"

	"stopledger/analyze/still"
)

const hatchPeriod = 9 // pixels from one line of a hatch to the next

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
func clippedOverlay(s *still.Still) *image.Paletted {
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
