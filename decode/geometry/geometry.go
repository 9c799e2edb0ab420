// Package geometry holds places in a frame: points, upright rectangles, quadrilaterals, and the
// homography that takes one quadrilateral to another. It sees no samples.
package geometry

import "image"

// A Point is a place in the frame in pixels: the first pixel covers 0..1 both ways, y grows
// downwards.
type Point struct{ X, Y float64 }

// A Rect is an upright area in pixels of the frame as coded.
type Rect struct {
	X int `json:"x"`
	Y int `json:"y"`
	W int `json:"w"`
	H int `json:"h"`
}

// RectOf returns an image's rectangle as a Rect.
func RectOf(r image.Rectangle) Rect { return Rect{r.Min.X, r.Min.Y, r.Dx(), r.Dy()} }

// Image returns r as package image has it.
func (r Rect) Image() image.Rectangle { return image.Rect(r.X, r.Y, r.X+r.W, r.Y+r.H) }
