package pyramid

import "stopledger/decode/geometry"

// Hull returns the convex hull of a component's pixels, clockwise in the frame.
func (m *Components) Hull(b *Component) []geometry.Point {
	// the outermost places on each line between rows, which the rows above and below share
	left, right := make([]int32, b.bottom-b.top+1), make([]int32, b.bottom-b.top+1)
	for i := range left {
		left[i], right[i] = int32(b.right), int32(b.left)
	}
	for _, r := range m.runs[b.first:b.last] {
		for i := int(r.y) - b.top; i <= int(r.y)-b.top+1; i++ {
			left[i], right[i] = min(left[i], r.x0), max(right[i], r.x1)
		}
	}
	points := make([]geometry.Point, 0, 2*len(left))
	for i := range left {
		y := float64(b.top + i)
		points = append(points, geometry.Pt(float64(left[i]), y), geometry.Pt(float64(right[i]), y))
	}
	return geometry.ConvexHull(points)
}
