package picture

import "stopledger/analyze/still"

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
	t.Code, t.Clipped = reordered(s.Code, index), reordered(s.Clipped, index)
	return &t
}

// turnedIndex returns the index, in a picture of w x h pixels, of each pixel of the turned picture; nil
// for an angle that leaves it as it is.
func turnedIndex(w, h, deg int) []int {
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
	index := make([]int, 0, w*h)
	for y := range down {
		for x := range across {
			index = append(index, from(x, y))
		}
	}
	return index
}

func reordered[T any](values []T, index []int) []T {
	if len(values) != len(index) {
		return values // a plane the still does not have
	}
	out := make([]T, len(values))
	for i, from := range index {
		out[i] = values[from]
	}
	return out
}
