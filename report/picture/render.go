package picture

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"

	"stopledger/analyze/display"
	"stopledger/analyze/still"
	"stopledger/curve"
)

// rendered shows a still on the display after an exposure change. The code values are the display's
// signal itself, with no change of colour gamut but a display file's own.
func rendered(s still.Rows, shows *display.Rendering, change curve.Stops) *image.RGBA {
	width, height, _ := s.Size()
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	render(img, s, shows, change)
	return img
}

// render does so in a picture of the still's size.
func render(img *image.RGBA, s still.Rows, shows *display.Rendering, change curve.Stops) {
	height := img.Rect.Dy()
	gain := float32(math.Exp2(float64(change)))
	if by, ok := s.(still.ShownRows); ok && shows == nil {
		show := by.Shown(func(light float32) uint8 { return display.Code(curve.Light(light * gain)) })
		for y := range height {
			show(y, img.Pix[y*img.Stride:])
		}
		return
	}
	for y := range height {
		row := s.Row(y)
		shows.Shade(img.Pix[y*img.Stride:], row.R, row.G, row.B, gain)
	}
}

// Small shows a still through the built-in rendering after an exposure change, encoded as JPEG.
func Small(s *still.Still, change curve.Stops) ([]byte, error) {
	const quality = 85
	var data bytes.Buffer
	err := jpeg.Encode(&data, rendered(s, nil, change), &jpeg.Options{Quality: quality})
	return data.Bytes(), err
}
