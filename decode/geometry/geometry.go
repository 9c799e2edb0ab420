// Package geometry holds places in a frame: points, upright rectangles, quadrilaterals, and the
// homography that takes one quadrilateral to another. It sees no samples.
package geometry

import (
	"image"
	"math"
)

// A Point is a place in the frame in pixels: the first pixel covers 0..1 both ways, y grows
// downwards. It serves as a vector, too.
type Point struct{ X, Y float64 }

// Pt is shorthand for Point{X: x, Y: y}.
func Pt(x, y float64) Point { return Point{x, y} }

// Add returns p + q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns p - q, the way from q to p.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Scale returns k p.
func (p Point) Scale(k float64) Point { return Point{p.X * k, p.Y * k} }

// Length returns the distance from the origin.
func (p Point) Length() float64 { return math.Hypot(p.X, p.Y) }

// Distance returns the distance between two points.
func (p Point) Distance(q Point) float64 { return p.Sub(q).Length() }

// Cross returns the cross product; it is positive where q lies clockwise of p as seen in the frame.
func (p Point) Cross(q Point) float64 { return p.X*q.Y - p.Y*q.X }

// Dot returns the scalar product.
func (p Point) Dot(q Point) float64 { return p.X*q.X + p.Y*q.Y }

// Mix returns the point on the straight line from a to b at a share of the way.
func Mix(a, b Point, share float64) Point { return a.Add(b.Sub(a).Scale(share)) }

// Crossing returns where the line through a and b meets the one through c and d; ok is false where
// they are parallel to within 1e-9 of a radian.
func Crossing(a, b, c, d Point) (p Point, ok bool) {
	u, v := b.Sub(a), d.Sub(c)
	det := u.Cross(v)
	if math.Abs(det) <= 1e-9*u.Length()*v.Length() { // also a line through one point twice
		return Point{}, false
	}
	return a.Add(u.Scale(c.Sub(a).Cross(v) / det)), true
}

// A Rect is an upright area in pixels of the frame as coded.
type Rect struct {
	X int `json:"x"` // left
	Y int `json:"y"` // top
	W int `json:"w"` // width
	H int `json:"h"` // height
}

// RectOf returns an image's rectangle as a Rect.
func RectOf(r image.Rectangle) Rect { return Rect{r.Min.X, r.Min.Y, r.Dx(), r.Dy()} }

// Image returns r as package image has it.
func (r Rect) Image() image.Rectangle { return image.Rect(r.X, r.Y, r.X+r.W, r.Y+r.H) }
