package geometry

import (
	"math"
	"slices"
)

// ConvexHull returns the convex hull, clockwise in the frame, of points in order of Y and then of X
// (A. M. Andrew, "Another efficient algorithm for convex hulls in two dimensions", Information
// Processing Letters 9, 1979: the monotone chain, from memory).
func ConvexHull(points []Point) []Point {
	if len(points) < 3 {
		return points
	}
	half := func(out []Point, p Point) []Point {
		for len(out) >= 2 && out[len(out)-1].Sub(out[len(out)-2]).Cross(p.Sub(out[len(out)-1])) <= 0 {
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

// PolygonArea returns the area of a polygon in square pixels by the shoelace formula; it is positive
// when the corners run clockwise.
func PolygonArea(p []Point) (a float64) {
	for i := range p {
		a += p[i].Cross(p[(i+1)%len(p)])
	}
	return a / 2
}

// EnclosingQuads reduces a convex polygon to five sides by dropping, again and again, the side whose
// neighbours meet beyond it at the least cost of area, and returns the quads that are left when any
// of the five is dropped. A corner that something covers is so restored; which of the sides is the
// cover's, the polygon alone does not tell.
func EnclosingQuads(p []Point) (quads []Quad) {
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
		quads = append(quads, Quad(p))
	case 5:
		for i := range p {
			if _, _, ok := beyond(p, i); ok {
				quads = append(quads, Quad(dropSide(slices.Clone(p), i)))
			}
		}
	}
	return slices.DeleteFunc(quads, func(q Quad) bool { return !q.Convex() })
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
	meet, ok = Crossing(a, b, d, c)
	if !ok {
		return meet, 0, false
	}
	// beyond both b and c, not behind
	if meet.Sub(b).Dot(b.Sub(a)) < 0 || meet.Sub(c).Dot(c.Sub(d)) < 0 {
		return meet, 0, false
	}
	return meet, math.Abs(meet.Sub(b).Cross(c.Sub(b))) / 2, true
}
