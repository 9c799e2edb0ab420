package geometry

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// A Homography takes a point (u, v) of a plane to the frame, as a camera without distortion does:
// x = (h0 u + h1 v + h2) / w, y = (h3 u + h4 v + h5) / w, w = h6 u + h7 v + h8 (R. Hartley, A.
// Zisserman, "Multiple View Geometry in Computer Vision", 2nd edition, 2003, section 2.3, from memory).
type Homography [9]float64

// At returns the image of (u, v).
func (h Homography) At(u, v float64) Point {
	w := h[6]*u + h[7]*v + h[8]
	return Point{(h[0]*u + h[1]*v + h[2]) / w, (h[3]*u + h[4]*v + h[5]) / w}
}

// Times returns the homography to a frame k times as large.
func (h Homography) Times(k float64) Homography {
	for i := range 6 {
		h[i] *= k
	}
	return h
}

// Plus returns the homography whose images lie d further.
func (h Homography) Plus(d Point) Homography {
	for i := range 3 {
		h[i] += d.X * h[6+i]
		h[3+i] += d.Y * h[6+i]
	}
	return h
}

// Moved returns the homography of the plane moved by d: it takes p to where h takes p + d.
func (h Homography) Moved(d Point) Homography {
	m := h
	for row := range 3 {
		m[3*row+2] += h[3*row]*d.X + h[3*row+1]*d.Y
	}
	k := m[8]
	for i := range m {
		m[i] /= k
	}
	return m
}

// Image returns the image of the upright rectangle from (u0, v0) to (u1, v1).
func (h Homography) Image(u0, v0, u1, v1 float64) Quad {
	return Quad{h.At(u0, v0), h.At(u1, v0), h.At(u1, v1), h.At(u0, v1)}
}

// Cell returns the image of the square with the given centre and half side.
func (h Homography) Cell(u, v, half float64) Quad { return h.Image(u-half, v-half, u+half, v+half) }

// Inverse returns the homography from the frame back to the plane: the adjugate matrix, which is the
// inverse but for a factor that At divides out.
func (h Homography) Inverse() Homography {
	return Homography{
		h[4]*h[8] - h[5]*h[7], h[2]*h[7] - h[1]*h[8], h[1]*h[5] - h[2]*h[4],
		h[5]*h[6] - h[3]*h[8], h[0]*h[8] - h[2]*h[6], h[2]*h[3] - h[0]*h[5],
		h[3]*h[7] - h[4]*h[6], h[1]*h[6] - h[0]*h[7], h[0]*h[4] - h[1]*h[3],
	}
}

// SquareTo returns the homography that takes the corners (0, 0), (1, 0), (1, 1), (0, 1) of the unit
// square to those of a convex quad (P. S. Heckbert, "Fundamentals of Texture Mapping and Image
// Warping", 1989, section 2.2.3, square to quadrilateral).
func SquareTo(q Quad) Homography {
	dx1, dx2 := q[1].X-q[2].X, q[3].X-q[2].X
	dy1, dy2 := q[1].Y-q[2].Y, q[3].Y-q[2].Y
	sx := q[0].X - q[1].X + q[2].X - q[3].X
	sy := q[0].Y - q[1].Y + q[2].Y - q[3].Y
	det := dx1*dy2 - dx2*dy1
	g := (sx*dy2 - dx2*sy) / det
	h := (dx1*sy - sx*dy1) / det
	return Homography{
		q[1].X - q[0].X + g*q[1].X, q[3].X - q[0].X + h*q[3].X, q[0].X,
		q[1].Y - q[0].Y + g*q[1].Y, q[3].Y - q[0].Y + h*q[3].Y, q[0].Y,
		g, h, 1,
	}
}

// Part returns the image of the rectangle (u0, v0)-(u1, v1) of the unit square, which is mapped onto
// the quad by the homography of its corners.
func (q Quad) Part(u0, v0, u1, v1 float64) Quad {
	return SquareTo(q).Image(u0, v0, u1, v1)
}

var errDegenerate = errors.New("the points do not span a plane")

// FitHomography returns the homography that takes each from to its to, by least squares of the
// linearised equations x w = h0 u + h1 v + h2, y w = h3 u + h4 v + h5 with h8 = 1 (the direct linear
// transform: Hartley, Zisserman, section 4.1, the images normalised as in 4.4.4, from memory); from
// must be of the order of one. At least four points are needed, no three of four on a line.
func FitHomography(from, to []Point) (Homography, error) {
	var h Homography
	if len(from) < 4 || len(from) != len(to) {
		return h, errDegenerate
	}
	centre, spread := normalise(to)
	a := mat.NewDense(2*len(from), 8, nil)
	b := mat.NewVecDense(2*len(from), nil)
	for i, p := range from {
		q := to[i].Sub(centre).Scale(1 / spread)
		a.SetRow(2*i, []float64{p.X, p.Y, 1, 0, 0, 0, -p.X * q.X, -p.Y * q.X})
		a.SetRow(2*i+1, []float64{0, 0, 0, p.X, p.Y, 1, -p.X * q.Y, -p.Y * q.Y})
		b.SetVec(2*i, q.X)
		b.SetVec(2*i+1, q.Y)
	}
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		return h, errDegenerate
	}
	copy(h[:8], x.RawVector().Data)
	h[8] = 1
	for c := range 3 { // undo the normalisation: to = spread q + centre
		h[c] = spread*h[c] + centre.X*h[6+c]
		h[3+c] = spread*h[3+c] + centre.Y*h[6+c]
	}
	return h, nil
}

// normalise returns the mean of points and their mean distance from it.
func normalise(points []Point) (centre Point, spread float64) {
	for _, p := range points {
		centre = centre.Add(p)
	}
	centre = centre.Scale(1 / float64(len(points)))
	for _, p := range points {
		spread += p.Distance(centre)
	}
	return centre, math.Max(spread/float64(len(points)), 1e-9)
}
