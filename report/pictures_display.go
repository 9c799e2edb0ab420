package report

import (
	"image"
	"math"
	"sort"

	"stopledger/analyze"
)

// displayed holds, for each 8-bit code but 0, the least scene-linear light that shows as that
// code through the display rendering of package analyze.
var displayed = displaySteps()

func displaySteps() (least [255]float32) {
	shows := func(linear float64) float64 {
		return analyze.DisplaySignal(analyze.DisplayLight(linear)) * 255
	}
	for i := range least {
		code := float64(i + 1)
		low, high := 0.0, 1.0
		for shows(high) < code-0.5 && high < 1024 {
			high *= 2
		}
		for range 48 { // to the last bit of a float32
			if mid := (low + high) / 2; shows(mid) < code-0.5 {
				low = mid
			} else {
				high = mid
			}
		}
		least[i] = float32(high)
	}
	return least
}

// displayCode returns the 8-bit code that scene-linear light shows as. NaN shows as black.
func displayCode(linear float32) uint8 {
	return uint8(sort.Search(255, func(i int) bool { return !(linear >= displayed[i]) }))
}

// rendered shows a still through the display rendering after an exposure change in stops. The
// code values are the display's signal itself, with no change of colour gamut.
func rendered(s *analyze.Still, stops float64) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, s.Width, s.Height))
	gain := float32(math.Exp2(stops))
	for i := range s.R {
		p := img.Pix[4*i : 4*i+4 : 4*i+4]
		p[0] = displayCode(s.R[i] * gain)
		p[1] = displayCode(s.G[i] * gain)
		p[2] = displayCode(s.B[i] * gain)
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
