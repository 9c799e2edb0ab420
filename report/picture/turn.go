package picture

import (
	"image"

	"stopledger/analyze/still"
)

// turned returns the still turned clockwise by the clip's rotation, 0, 90, 180 or 270 degrees,
// as a person should see it. Any other angle leaves it as it is. Its corner, X and Y, stays in
// pixels of the frame as coded.
func turned(s *still.Still, deg int) *still.Still {
	index := turnedIndex(s.Width, s.Height, deg)
	if index == nil {
		return s
	}
	t := *s
	if deg != 180 {
		t.Width, t.Height = s.Height, s.Width
	}
	t.R, t.G, t.B = reordered(s.R, index), reordered(s.G, index), reordered(s.B, index)
	t.Clipped = reordered(s.Clipped, index)
	return &t
}

// turnedImage turns a picture as turned does a still.
func turnedImage(img *image.RGBA, deg int) *image.RGBA {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	index := turnedIndex(w, h, deg)
	if index == nil {
		return img
	}
	if deg != 180 {
		w, h = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	for i, from := range index {
		copy(out.Pix[4*i:4*i+4], img.Pix[4*from:4*from+4])
	}
	return out
}

// turnedIndex returns the index, in a picture of w x h pixels, of each pixel of the turned picture; nil
// for an angle that leaves it as it is.
func turnedIndex(w, h, deg int) []int32 {
	var from func(x, y int) int
	across, down := h, w
	switch deg {
	case 90:
		from = func(x, y int) int { return (h-1-x)*w + y }
	case 180:
		from = func(x, y int) int { return (h-1-y)*w + w - 1 - x }
		across, down = w, h
	case 270:
		from = func(x, y int) int { return x*w + w - 1 - y }
	default:
		return nil
	}
	index := make([]int32, 0, w*h)
	for y := range down {
		for x := range across {
			index = append(index, int32(from(x, y)))
		}
	}
	return index
}

func reordered[T any](values []T, index []int32) []T {
	if len(values) != len(index) {
		return values // a plane the still does not have
	}
	out := make([]T, len(values))
	for i, from := range index {
		out[i] = values[from]
	}
	return out
}
