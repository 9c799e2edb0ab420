package find

import (
	"cmp"
	"math"
	"slices"
)

// hull returns the convex hull of a blob's pixels, clockwise in the frame.
func (m *flatMap) hull(b *blob) []Point {
	runs := m.runs[b.first:b.last] // row by row
	points := make([]Point, 0, 4*(b.bottom-b.top))
	for i := 0; i < len(runs); {
		y, x0, x1 := runs[i].y, runs[i].x0, runs[i].x1
		for ; i < len(runs) && runs[i].y == y; i++ {
			x1 = runs[i].x1
		}
		left, right, top := float64(x0), float64(x1), float64(y)
		points = append(points, Point{left, top}, Point{right, top}, Point{left, top + 1}, Point{right, top + 1})
	}
	return convexHull(points)
}

// convexHull is Andrew's monotone chain; the points are sorted in place.
func convexHull(points []Point) []Point {
	slices.SortFunc(points, func(a, b Point) int {
		return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y))
	})
	points = slices.Compact(points)
	if len(points) < 3 {
		return points
	}
	half := func(in []Point) (out []Point) {
		for _, p := range in {
			for len(out) >= 2 && out[len(out)-1].sub(out[len(out)-2]).cross(p.sub(out[len(out)-1])) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		return out[:len(out)-1]
	}
	first := half(points)
	slices.Reverse(points)
	return append(first, half(points)...)
}

func polygonArea(p []Point) (a float64) {
	for i := range p {
		a += p[i].cross(p[(i+1)%len(p)])
	}
	return a / 2
}

// enclosingQuad reduces a convex polygon to four sides by dropping, again and again, the side
// whose neighbours meet beyond it at the least cost of area. A corner that something covers is
// so restored. It fails where the polygon has no four such sides.
func enclosingQuad(p []Point) (quad, bool) {
	p = slices.Clone(p)
	for len(p) > 4 {
		best, least, at := -1, math.Inf(1), Point{}
		for i := range p {
			meet, area, ok := beyond(p, i)
			if ok && area < least {
				best, least, at = i, area, meet
			}
		}
		if best < 0 {
			return quad{}, false
		}
		// side best runs from p[best] to the next: both give way to where its neighbours meet
		p[best] = at
		p = slices.Delete(p, (best+1)%len(p), (best+1)%len(p)+1)
	}
	if len(p) < 4 {
		return quad{}, false
	}
	q := quad{p[0], p[1], p[2], p[3]}
	return q, q.convex()
}

// beyond returns where the sides before and after side i meet, and the area that adds.
func beyond(p []Point, i int) (meet Point, area float64, ok bool) {
	n := len(p)
	a, b, c, d := p[(i+n-1)%n], p[i], p[(i+1)%n], p[(i+2)%n]
	meet, ok = crossing(a, b, d, c)
	if !ok {
		return meet, 0, false
	}
	// beyond both b and c, not behind
	if meet.sub(b).dot(b.sub(a)) < 0 || meet.sub(c).dot(c.sub(d)) < 0 {
		return meet, 0, false
	}
	return meet, math.Abs(meet.sub(b).cross(c.sub(b))) / 2, true
}

// crossing returns where the line through a and b meets the one through c and d.
func crossing(a, b, c, d Point) (Point, bool) {
	u, v := b.sub(a), d.sub(c)
	det := u.cross(v)
	if math.Abs(det) < 1e-9*u.length()*v.length() {
		return Point{}, false
	}
	return a.add(u.scale(c.sub(a).cross(v) / det)), true
}
