package geometry

import (
	"image"
	"math"
)

// InnerRectangle returns the largest upright rectangle of whole pixels around the centre of a convex
// quad, with the proportions of its bounds, that lies inside the quad; at least the pixel at the
// centre. Its size is found by bisection.
func (q Quad) InnerRectangle() image.Rectangle {
	c, b := q.Centre(), q.Bounds()
	half := Point{float64(b.Dx()) / 2, float64(b.Dy()) / 2}
	low, high := 0.0, 1.0
	for range 20 {
		k := (low + high) / 2
		dx, dy := half.X*k, half.Y*k
		if q.Contains(Point{c.X - dx, c.Y - dy}) && q.Contains(Point{c.X + dx, c.Y - dy}) &&
			q.Contains(Point{c.X + dx, c.Y + dy}) && q.Contains(Point{c.X - dx, c.Y + dy}) {
			low = k
		} else {
			high = k
		}
	}
	r := image.Rect(int(math.Ceil(c.X-half.X*low)), int(math.Ceil(c.Y-half.Y*low)),
		int(math.Floor(c.X+half.X*low)), int(math.Floor(c.Y+half.Y*low)))
	if r.Empty() {
		x, y := int(c.X), int(c.Y)
		r = image.Rect(x, y, x+1, y+1)
	}
	return r
}

// Edges are the four sides of a convex quad as lines in normal form.
type Edges [4]Edge

// An Edge is a line: NX x + NY y + C is the distance from it in pixels, positive inside.
type Edge struct{ NX, NY, C float64 }

// Distance returns how far a point lies inside the line, in pixels; negative outside.
func (e Edge) Distance(x, y float64) float64 { return e.NX*x + e.NY*y + e.C }

// Edges returns the sides of a convex quad whose corners run either way.
func (q Quad) Edges() Edges {
	var e Edges
	area := 0.0
	for i := range q {
		p, n := q[i], q[(i+1)%4]
		area += p.X*n.Y - n.X*p.Y
	}
	for i := range q {
		p, n := q[i], q[(i+1)%4]
		nx, ny := -(n.Y - p.Y), n.X-p.X
		l := math.Hypot(nx, ny)
		if area < 0 {
			l = -l
		}
		e[i].NX, e[i].NY = nx/l, ny/l
		e[i].C = -(e[i].NX*p.X + e[i].NY*p.Y)
	}
	return e
}

// Hold reports whether the upright rectangle of half sizes hx, hy around c lies inside by margin.
func (e *Edges) Hold(c Point, hx, hy, margin float64) bool {
	for i := range e {
		d := e[i].Distance(c.X, c.Y)
		if d-math.Abs(e[i].NX)*hx-math.Abs(e[i].NY)*hy < margin {
			return false
		}
	}
	return true
}

// innerAspects are the widths over heights that Inner tries.
var innerAspects = []float64{0.1, 0.2, 0.35, 0.5, 0.75, 1, 1.33, 2, 3, 5, 10}

// Inner returns an upright rectangle of whole pixels, as large as a short search of proportions and
// a bisection for each find, that lies inside the quad with its edges kept margin pixels away. ok is
// false where none fits.
func (q Quad) Inner(margin float64) (r Rect, ok bool) {
	h := SquareTo(q)
	c := h.At(0.5, 0.5)
	from, to := q.Extent()
	edges := q.Edges()
	best := 0.0
	for _, aspect := range innerAspects {
		low, high := 0.0, max(to.X-from.X, to.Y-from.Y)
		for range 40 {
			half := (low + high) / 2
			if edges.Hold(c, half*aspect, half, margin) {
				low = half
			} else {
				high = half
			}
		}
		x0, x1 := math.Ceil(c.X-low*aspect), math.Floor(c.X+low*aspect)
		y0, y1 := math.Ceil(c.Y-low), math.Floor(c.Y+low)
		if area := (x1 - x0) * (y1 - y0); x1 > x0 && y1 > y0 && area > best {
			best = area
			r = Rect{int(x0), int(y0), int(x1 - x0), int(y1 - y0)}
		}
	}
	return r, best > 0
}
