package picture

import (
	"image"
	"math"

	"stopledger/analyze/display"
	"stopledger/analyze/still"
	"stopledger/curve"
)

// rendered shows a still through the display rendering after an exposure change. The code values
// are the display's signal itself, with no change of colour gamut.
func rendered(s *still.Still, change curve.Stops) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, s.Width, s.Height))
	gain := float32(math.Exp2(float64(change)))
	for i := range s.R {
		p := img.Pix[4*i : 4*i+4 : 4*i+4]
		p[0] = display.Code(curve.Light(s.R[i] * gain))
		p[1] = display.Code(curve.Light(s.G[i] * gain))
		p[2] = display.Code(curve.Light(s.B[i] * gain))
		p[3] = 255
	}
	return img
}

// enlarged repeats each pixel n times both ways.
func enlarged(img *image.RGBA, n int) *image.RGBA {
	b := img.Bounds()
	out := image.NewRGBA(image.Rect(0, 0, b.Dx()*n, b.Dy()*n))
	for y := range b.Dy() * n {
		for x := range b.Dx() * n {
			out.SetRGBA(x, y, img.RGBAAt(x/n, y/n))
		}
	}
	return out
}
