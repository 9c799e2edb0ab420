package geometry

import (
	"image"
	"math"
)

// A Quad is a quadrilateral, its corners in order round it. What is said of convex quads below holds
// where the corners run clockwise as seen in the frame: top left, top right, bottom right, bottom
// left.
type Quad [4]Point

// Upright returns the upright quad with its top left corner at x, y.
func Upright(x, y, w, h float64) Quad {
	return Quad{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

// Area returns the area in square pixels, half the cross product of the diagonals; it is positive
// when the corners run clockwise.
func (q Quad) Area() float64 {
	return (q[2].Sub(q[0])).Cross(q[3].Sub(q[1])) / 2
}

// Centre returns the mean of the corners.
func (q Quad) Centre() Point {
	return q[0].Add(q[1]).Add(q[2]).Add(q[3]).Scale(0.25)
}

// Side returns the length of the side from corner i to the next.
func (q Quad) Side(i int) float64 { return q[i].Distance(q[(i+1)%4]) }

// Farthest returns the largest distance of a corner from the same corner of another quad.
func (q Quad) Farthest(o Quad) (d float64) {
	for i := range q {
		d = math.Max(d, q[i].Distance(o[i]))
	}
	return d
}

// Convex reports whether every turn goes the same way, clockwise.
func (q Quad) Convex() bool {
	for i := range q {
		if q[(i+1)%4].Sub(q[i]).Cross(q[(i+2)%4].Sub(q[(i+1)%4])) <= 0 {
			return false
		}
	}
	return true
}

// Contains reports whether p lies inside a convex quad or on its rim.
func (q Quad) Contains(p Point) bool {
	for i := range q {
		if q[(i+1)%4].Sub(q[i]).Cross(p.Sub(q[i])) < 0 {
			return false
		}
	}
	return true
}

// Times returns the quad with all coordinates multiplied by k.
func (q Quad) Times(k float64) Quad {
	for i := range q {
		q[i] = q[i].Scale(k)
	}
	return q
}

// Shift returns the quad moved by dx, dy.
func (q Quad) Shift(dx, dy float64) Quad {
	for i := range q {
		q[i].X += dx
		q[i].Y += dy
	}
	return q
}

// Shrink returns the quad drawn towards its centre, share of its size left; over 1 it grows.
func (q Quad) Shrink(share float64) Quad {
	c := q.Centre()
	for i := range q {
		q[i] = Mix(c, q[i], share)
	}
	return q
}

// Grow returns a convex quad with each side moved outward by d pixels.
func (q Quad) Grow(d float64) Quad {
	var lines [4][2]Point
	for i := range q {
		along := q[(i+1)%4].Sub(q[i])
		out := Point{along.Y, -along.X}.Scale(d / along.Length())
		lines[i] = [2]Point{q[i].Add(out), q[(i+1)%4].Add(out)}
	}
	for i := range q {
		before := lines[(i+3)%4]
		if p, ok := Crossing(before[0], before[1], lines[i][0], lines[i][1]); ok {
			q[i] = p
		}
	}
	return q
}

// FromTopLeft returns the quad with the corner nearest to the frame's top left first.
func (q Quad) FromTopLeft() (r Quad) {
	first := 0
	for i, p := range q {
		if p.X+p.Y < q[first].X+q[first].Y {
			first = i
		}
	}
	for i := range r {
		r[i] = q[(first+i)%4]
	}
	return r
}

// Within reports whether all corners lie half a pixel or more within a frame of w x h pixels.
func (q Quad) Within(w, h int) bool {
	for _, p := range q {
		if p.X < 0.5 || p.Y < 0.5 || p.X > float64(w)-0.5 || p.Y > float64(h)-0.5 {
			return false
		}
	}
	return true
}

// Extent returns the least and the largest coordinates of the corners.
func (q Quad) Extent() (low, high Point) {
	low, high = q[0], q[0]
	for _, p := range q[1:] {
		low = Point{math.Min(low.X, p.X), math.Min(low.Y, p.Y)}
		high = Point{math.Max(high.X, p.X), math.Max(high.Y, p.Y)}
	}
	return low, high
}

// Bounds returns the smallest rectangle of whole pixels that holds the quad.
func (q Quad) Bounds() image.Rectangle {
	low, high := q.Extent()
	return image.Rect(int(math.Floor(low.X)), int(math.Floor(low.Y)),
		int(math.Ceil(high.X)), int(math.Ceil(high.Y)))
}
