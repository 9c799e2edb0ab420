package detect

import (
	"math"
	"slices"
)

// hull returns the convex hull of a blob's pixels, clockwise in the frame.
func (m *flatMap) hull(b *blob) []Point {
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
	points := make([]Point, 0, 2*len(left))
	for i := range left {
		y := float64(b.top + i)
		points = append(points, Point{float64(left[i]), y}, Point{float64(right[i]), y})
	}
	return convexHull(points)
}

// convexHull is Andrew's monotone chain, clockwise, for points in order of Y and then of X.
func convexHull(points []Point) []Point {
	if len(points) < 3 {
		return points
	}
	half := func(out []Point, p Point) []Point {
		for len(out) >= 2 && out[len(out)-1].sub(out[len(out)-2]).cross(p.sub(out[len(out)-1])) <= 0 {
			out = out[:len(out)-1]
		}
		return append(out, p)
	}
	var down, up []Point
	for _, p := range points {
		down = half(down, p)
	}
	for _, p := range slices.Backward(points) {
		up = half(up, p)
	}
	return append(down[:len(down)-1], up[:len(up)-1]...)
}

func polygonArea(p []Point) (a float64) {
	for i := range p {
		a += p[i].cross(p[(i+1)%len(p)])
	}
	return a / 2
}

// enclosingQuads reduces a convex polygon to five sides by dropping, again and again, the side whose
// neighbours meet beyond it at the least cost of area, and returns the quads that are left when any
// of the five is dropped. A corner that something covers is so restored; which of the sides is the
// cover's, the polygon alone does not tell.
func enclosingQuads(p []Point) (quads []quad) {
	p = slices.Clone(p)
	for len(p) > 5 {
		best, least := -1, math.Inf(1)
		for i := range p {
			if _, area, ok := beyond(p, i); ok && area < least {
				best, least = i, area
			}
		}
		if best < 0 {
			return nil
		}
		p = dropSide(p, best)
	}
	switch len(p) {
	case 4:
		quads = append(quads, quad(p))
	case 5:
		for i := range p {
			if _, _, ok := beyond(p, i); ok {
				quads = append(quads, quad(dropSide(slices.Clone(p), i)))
			}
		}
	}
	return slices.DeleteFunc(quads, func(q quad) bool { return !q.convex() })
}

// dropSide lets the side from p[i] to the next give way to where its neighbours meet.
func dropSide(p []Point, i int) []Point {
	meet, _, _ := beyond(p, i)
	p[i] = meet
	next := (i + 1) % len(p)
	return slices.Delete(p, next, next+1)
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
