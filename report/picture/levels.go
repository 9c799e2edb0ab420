package picture

import (
	"fmt"
	"image"
	"image/png"
	"io"
	"math"

	"stopledger/analyze/still"
	"stopledger/curve"
)

// Levels is a small grid of what the frame reads, kept as an 8-bit RGB picture without loss:
//
//	R  recorded stops: 0 for no light, else LevelsFirst + (R-1) LevelsStep
//	G  bits 0-1 the upper bits of luma's 10-bit code, bits 2-4 the channels clipped (R, G, B)
//	B  the lower 8 bits of the code
const (
	LevelsFirst = -12.0 // stops
	LevelsStep  = 0.08  // stops
	levelsWidth = 192
)

func levelsPicture(s *still.Still, matrix curve.Matrix) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, s.Width, s.Height))
	for i, stops := range stopsOf(s, matrix) {
		code := min(s.Code[i], 1023)
		p := img.Pix[4*i : 4*i+4 : 4*i+4]
		p[0] = levelsByte(stops)
		p[1] = uint8(code>>8) | s.Clipped[i]&7<<2
		p[2] = uint8(code)
		p[3] = 255
	}
	return img
}

// levelsByte returns the value of a level in recorded stops; -Inf gives 0.
func levelsByte(stops curve.Stops) uint8 {
	if math.IsInf(float64(stops), -1) || math.IsNaN(float64(stops)) {
		return 0
	}
	step := math.Round(float64(stops-LevelsFirst) / LevelsStep)
	return uint8(min(max(step, 0), 254)) + 1
}

// ReadLevels returns the grid a levels picture holds, three bytes a cell, row by row.
func ReadLevels(r io.Reader) (width, height int, cells []byte, err error) {
	img, err := png.Decode(io.LimitReader(r, 1<<22))
	if err != nil {
		return 0, 0, nil, fmt.Errorf("the picture of levels: %w", err)
	}
	b := img.Bounds()
	if b.Dx() > levelsWidth || b.Dy() > 4*levelsWidth {
		return 0, 0, nil, fmt.Errorf("the picture of levels has %d x %d cells; at most %d across are written",
			b.Dx(), b.Dy(), levelsWidth)
	}
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r, g, bl, _ := img.At(x, y).RGBA()
			cells = append(cells, uint8(r>>8), uint8(g>>8), uint8(bl>>8))
		}
	}
	return b.Dx(), b.Dy(), cells, nil
}
