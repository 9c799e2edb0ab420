package synth

import "math"

// A Point is a place in the scene, in pixels.
type Point struct{ X, Y float64 }

// A Quad is a convex quadrilateral: top left, top right, bottom right, bottom left.
type Quad [4]Point

// Rect returns an upright quad.
func Rect(x, y, w, h float64) Quad {
	return Quad{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

// Shift returns the quad moved by (dx, dy).
func (q Quad) Shift(dx, dy float64) Quad {
	for i := range q {
		q[i].X += dx
		q[i].Y += dy
	}
	return q
}

// Bounds returns the smallest upright rectangle around the quad.
func (q Quad) Bounds() (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = q[0].X, q[0].Y, q[0].X, q[0].Y
	for _, p := range q[1:] {
		x0, x1 = min(x0, p.X), max(x1, p.X)
		y0, y1 = min(y0, p.Y), max(y1, p.Y)
	}
	return x0, y0, x1, y1
}

// Sub returns the image of the rectangle (u0,v0)-(u1,v1) of the unit square, which is mapped
// onto the quad by the homography of its corners.
func (q Quad) Sub(u0, v0, u1, v1 float64) Quad {
	h := newHomography(q)
	return Quad{h.at(u0, v0), h.at(u1, v0), h.at(u1, v1), h.at(u0, v1)}
}

// Inner returns an upright rectangle of whole pixels, as large as a short search finds, that
// lies inside the quad with its edges kept margin pixels away. ok is false where none fits.
func (q Quad) Inner(margin float64) (r PixelRect, ok bool) {
	c := newHomography(q).at(0.5, 0.5)
	x0, y0, x1, y1 := q.Bounds()
	edges := newEdges(q)
	best := 0.0
	for _, aspect := range []float64{0.1, 0.2, 0.35, 0.5, 0.75, 1, 1.33, 2, 3, 5, 10} {
		lo, hi := 0.0, max(x1-x0, y1-y0)
		for range 40 {
			half := (lo + hi) / 2
			if edges.holds(c, half*aspect, half, margin) {
				lo = half
			} else {
				hi = half
			}
		}
		xa, xb := math.Ceil(c.X-lo*aspect), math.Floor(c.X+lo*aspect)
		ya, yb := math.Ceil(c.Y-lo), math.Floor(c.Y+lo)
		if area := (xb - xa) * (yb - ya); xb > xa && yb > ya && area > best {
			best = area
			r = PixelRect{int(xa), int(ya), int(xb - xa), int(yb - ya)}
		}
	}
	return r, best > 0
}

// A PixelRect is an upright rectangle of whole pixels.
type PixelRect struct{ X, Y, W, H int }

// homography maps the unit square onto a quad (Heckbert, Fundamentals of Texture Mapping and
// Image Warping, 1989, section 2.2.3, square to quadrilateral).
type homography struct{ a, b, c, d, e, f, g, h float64 }

func newHomography(q Quad) homography {
	dx1, dx2 := q[1].X-q[2].X, q[3].X-q[2].X
	dy1, dy2 := q[1].Y-q[2].Y, q[3].Y-q[2].Y
	sx := q[0].X - q[1].X + q[2].X - q[3].X
	sy := q[0].Y - q[1].Y + q[2].Y - q[3].Y
	det := dx1*dy2 - dx2*dy1
	g := (sx*dy2 - dx2*sy) / det
	h := (dx1*sy - sx*dy1) / det
	return homography{
		a: q[1].X - q[0].X + g*q[1].X, b: q[3].X - q[0].X + h*q[3].X, c: q[0].X,
		d: q[1].Y - q[0].Y + g*q[1].Y, e: q[3].Y - q[0].Y + h*q[3].Y, f: q[0].Y,
		g: g, h: h,
	}
}

func (m homography) at(u, v float64) Point {
	w := m.g*u + m.h*v + 1
	return Point{(m.a*u + m.b*v + m.c) / w, (m.d*u + m.e*v + m.f) / w}
}

// edges are the four sides of a quad as lines nx*x + ny*y + c, positive inside, in pixels.
type edges [4]struct{ nx, ny, c float64 }

func newEdges(q Quad) edges {
	var e edges
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
		e[i].nx, e[i].ny = nx/l, ny/l
		e[i].c = -(e[i].nx*p.X + e[i].ny*p.Y)
	}
	return e
}

// holds says whether the rectangle of half sizes hx, hy around c lies inside by margin.
func (e *edges) holds(c Point, hx, hy, margin float64) bool {
	for i := range e {
		d := e[i].nx*c.X + e[i].ny*c.Y + e[i].c
		if d-math.Abs(e[i].nx)*hx-math.Abs(e[i].ny)*hy < margin {
			return false
		}
	}
	return true
}

// cover returns the share of the pixel centred on (x, y) that lies inside, for edges blurred
// over soft pixels (1 is a sharp edge, antialiased).
func (e *edges) cover(x, y, soft float64) float64 {
	c := 1.0
	for i := range e {
		d := (e[i].nx*x+e[i].ny*y+e[i].c)/soft + 0.5
		if d <= 0 {
			return 0
		}
		if d < 1 {
			c *= d
		}
	}
	return c
}
