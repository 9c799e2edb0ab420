package pyramid

import (
	"image"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// CloseUp returns the area of a frame at its full size, made larger to whole samples of its chroma,
// and where its corner lies in the frame. The area must share some of the frame.
func CloseUp(f *decode.Frame, r curve.Reading, m curve.Matrix, area image.Rectangle) (*Level, geometry.Point) {
	part, at := Crop(f, area)
	return Reduce(&part, r, m, 1), geometry.Pt(float64(at.X), float64(at.Y))
}

// Crop returns a part of a frame and where its corner lies, its samples shared.
func Crop(f *decode.Frame, area image.Rectangle) (decode.Frame, image.Point) {
	luma, sx, sy := f.Planes[0], f.SubX(), f.SubY()
	a := area.Intersect(image.Rect(0, 0, luma.Width, luma.Height))
	a.Min = image.Pt(a.Min.X/sx*sx, a.Min.Y/sy*sy)
	part := decode.Frame{Layout: f.Layout, Bits: f.Bits, Planes: [3]decode.Plane{cut(luma, a)}}
	if f.Layout != decode.Gray {
		c := image.Rect(a.Min.X/sx, a.Min.Y/sy, (a.Max.X+sx-1)/sx, (a.Max.Y+sy-1)/sy)
		part.Planes[1], part.Planes[2] = cut(f.Planes[1], c), cut(f.Planes[2], c)
	}
	return part, a.Min
}

// cut returns a part of a plane.
func cut(p decode.Plane, a image.Rectangle) decode.Plane {
	a = a.Intersect(image.Rect(0, 0, p.Width, p.Height))
	return decode.Plane{Samples: p.Samples[a.Min.Y*p.Stride+a.Min.X:], Stride: p.Stride, Width: a.Dx(), Height: a.Dy()}
}
