package detect

import (
	"errors"
	"image"
	"math"

	"gonum.org/v1/gonum/mat"
)

// A Point is a place in the frame in pixels: the first pixel covers 0..1 both ways, y grows
// downwards.
type Point struct{ X, Y float64 }

func (p Point) add(q Point) Point         { return Point{p.X + q.X, p.Y + q.Y} }
func (p Point) sub(q Point) Point         { return Point{p.X - q.X, p.Y - q.Y} }
func (p Point) scale(k float64) Point     { return Point{p.X * k, p.Y * k} }
func (p Point) length() float64           { return math.Hypot(p.X, p.Y) }
func (p Point) distance(q Point) float64  { return p.sub(q).length() }
func (p Point) cross(q Point) float64     { return p.X*q.Y - p.Y*q.X }
func (p Point) dot(q Point) float64       { return p.X*q.X + p.Y*q.Y }
func mix(a, b Point, share float64) Point { return a.add(b.sub(a).scale(share)) }

// A quad is a quadrilateral, its corners in order round it.
type quad [4]Point

// area is positive when the corners run clockwise as seen in the frame.
func (q quad) area() float64 {
	return (q[2].sub(q[0])).cross(q[3].sub(q[1])) / 2
}

func (q quad) centre() Point {
	return q[0].add(q[1]).add(q[2]).add(q[3]).scale(0.25)
}

// side returns the length of the side from corner i to the next.
func (q quad) side(i int) float64 { return q[i].distance(q[(i+1)%4]) }

// farthest returns the largest distance of a corner from another quad's.
func (q quad) farthest(o quad) (d float64) {
	for i := range q {
		d = math.Max(d, q[i].distance(o[i]))
	}
	return d
}

// convex reports whether every turn goes the same way, clockwise.
func (q quad) convex() bool {
	for i := range q {
		if q[(i+1)%4].sub(q[i]).cross(q[(i+2)%4].sub(q[(i+1)%4])) <= 0 {
			return false
		}
	}
	return true
}

// contains reports whether p lies inside a convex clockwise quad.
func (q quad) contains(p Point) bool {
	for i := range q {
		if q[(i+1)%4].sub(q[i]).cross(p.sub(q[i])) < 0 {
			return false
		}
	}
	return true
}

// times returns the quad with all coordinates multiplied by k.
func (q quad) times(k float64) quad {
	for i := range q {
		q[i] = q[i].scale(k)
	}
	return q
}

// fromTopLeft returns the quad with the corner nearest to the frame's top left first.
func (q quad) fromTopLeft() (r quad) {
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

// shrink returns the quad drawn towards its centre, share of its size left.
func (q quad) shrink(share float64) quad {
	c := q.centre()
	for i := range q {
		q[i] = mix(c, q[i], share)
	}
	return q
}

// grow returns the quad with each side moved outward by d.
func (q quad) grow(d float64) quad {
	var lines [4][2]Point
	for i := range q {
		along := q[(i+1)%4].sub(q[i])
		out := Point{along.Y, -along.X}.scale(d / along.length())
		lines[i] = [2]Point{q[i].add(out), q[(i+1)%4].add(out)}
	}
	for i := range q {
		before := lines[(i+3)%4]
		if p, ok := crossing(before[0], before[1], lines[i][0], lines[i][1]); ok {
			q[i] = p
		}
	}
	return q
}

// inside reports whether all corners lie half a pixel or more within w x h.
func (q quad) inside(w, h int) bool {
	for _, p := range q {
		if p.X < 0.5 || p.Y < 0.5 || p.X > float64(w)-0.5 || p.Y > float64(h)-0.5 {
			return false
		}
	}
	return true
}

// bounds returns the smallest rectangle of whole pixels that holds the quad.
func (q quad) bounds() image.Rectangle {
	min, max := q[0], q[0]
	for _, p := range q[1:] {
		min = Point{math.Min(min.X, p.X), math.Min(min.Y, p.Y)}
		max = Point{math.Max(max.X, p.X), math.Max(max.Y, p.Y)}
	}
	return image.Rect(int(math.Floor(min.X)), int(math.Floor(min.Y)),
		int(math.Ceil(max.X)), int(math.Ceil(max.Y)))
}

// innerRectangle returns the largest upright rectangle around the quad's centre, with the
// proportions of its bounds, that lies inside the quad.
func (q quad) innerRectangle() image.Rectangle {
	c, b := q.centre(), q.bounds()
	half := Point{float64(b.Dx()) / 2, float64(b.Dy()) / 2}
	low, high := 0.0, 1.0
	for range 20 {
		k := (low + high) / 2
		dx, dy := half.X*k, half.Y*k
		if q.contains(Point{c.X - dx, c.Y - dy}) && q.contains(Point{c.X + dx, c.Y - dy}) &&
			q.contains(Point{c.X + dx, c.Y + dy}) && q.contains(Point{c.X - dx, c.Y + dy}) {
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

// A homography takes a point of a plane to the frame: row by row, the last element 1.
type homography [9]float64

func (h *homography) at(u, v float64) Point {
	w := h[6]*u + h[7]*v + h[8]
	return Point{(h[0]*u + h[1]*v + h[2]) / w, (h[3]*u + h[4]*v + h[5]) / w}
}

// times returns the homography to a frame k times as large.
func (h homography) times(k float64) homography {
	for i := range 6 {
		h[i] *= k
	}
	return h
}

// plus returns the homography to a frame that lies d further.
func (h homography) plus(d Point) homography {
	for i := range 3 {
		h[i] += d.X * h[6+i]
		h[3+i] += d.Y * h[6+i]
	}
	return h
}

// cell returns the quad of the square with the given centre and half side.
func (h *homography) cell(u, v, half float64) quad {
	return quad{h.at(u-half, v-half), h.at(u+half, v-half), h.at(u+half, v+half), h.at(u-half, v+half)}
}

var errDegenerate = errors.New("the points do not span a plane")

// fitHomography returns the homography that takes each from to its to, by least squares of the
// linearised equations; from must be of the order of one. At least four points are needed.
func fitHomography(from, to []Point) (homography, error) {
	var h homography
	if len(from) < 4 || len(from) != len(to) {
		return h, errDegenerate
	}
	centre, spread := normalise(to)
	a := mat.NewDense(2*len(from), 8, nil)
	b := mat.NewVecDense(2*len(from), nil)
	for i, p := range from {
		q := to[i].sub(centre).scale(1 / spread)
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
		centre = centre.add(p)
	}
	centre = centre.scale(1 / float64(len(points)))
	for _, p := range points {
		spread += p.distance(centre)
	}
	return centre, math.Max(spread/float64(len(points)), 1e-9)
}
