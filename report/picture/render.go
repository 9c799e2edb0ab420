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
func rendered(s *still.Still, shows *display.Rendering, change curve.Stops) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, s.Width, s.Height))
	gain := float32(math.Exp2(float64(change)))
	for i := range s.R {
		p := img.Pix[4*i : 4*i+4 : 4*i+4]
		codes := shows.Codes(curve.Light(s.R[i]*gain), curve.Light(s.G[i]*gain), curve.Light(s.B[i]*gain))
		copy(p, codes[:])
		p[3] = 255
	}
	return img
}

// Small shows a still through the built-in rendering after an exposure change, encoded as JPEG.
func Small(s *still.Still, change curve.Stops) ([]byte, error) {
	const quality = 85
	var data bytes.Buffer
	err := jpeg.Encode(&data, rendered(s, nil, change), &jpeg.Options{Quality: quality})
	return data.Bytes(), err
}
