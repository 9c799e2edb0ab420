package geometry

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// fitTolerance is for solutions that are exact but for rounding, in pixels.
const fitTolerance = 1e-6

func TestHomographyReturnsItsPoints(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		truth := Homography{300 * rng.Float64(), 50 * rng.NormFloat64(), 1000 * rng.Float64(),
			50 * rng.NormFloat64(), 300 * rng.Float64(), 500,
			0.05 * rng.Float64(), 0.05 * rng.Float64(), 1}
		var from, to []Point
		for i := range 24 {
			p := Point{float64(i % 6), float64(i / 6)}
			from, to = append(from, p), append(to, truth.At(p.X, p.Y))
		}
		for _, n := range []int{4, 24} {
			pick := []int{0, 5, 18, 23}
			f, g := from, to
			if n == 4 {
				f, g = nil, nil
				for _, i := range pick {
					f, g = append(f, from[i]), append(g, to[i])
				}
			}
			h, err := FitHomography(f, g)
			if err != nil {
				t.Fatal(err)
			}
			for i, p := range from {
				if d := h.At(p.X, p.Y).Distance(to[i]); d > fitTolerance*to[i].Length() {
					t.Fatalf("from %d points: off by %g px", n, d)
				}
			}
		}
	}
}

func TestHomographyNeedsAPlane(t *testing.T) {
	line := []Point{{0, 0}, {1, 1}, {2, 2}, {3, 3}, {4, 4}}
	for _, c := range [][2][]Point{{line, line}, {line[:3], line[:3]}, {nil, nil}} {
		if h, err := FitHomography(c[0], c[1]); err == nil {
			t.Errorf("%d points on a line: %v", len(c[0]), h)
		}
	}
}

// tilted places a rectangle of w x h around a centre, turned by angle in the frame and tilted away by
// tilt about an axis, seen from three widths.
func tilted(centre Point, w, h, angle, tilt, axis float64) (q Quad) {
	for i, c := range []Point{{-0.5, -0.5}, {0.5, -0.5}, {0.5, 0.5}, {-0.5, 0.5}} {
		x, y := c.X*w, c.Y*h
		ca, sa := math.Cos(axis), math.Sin(axis)
		along, across := x*ca+y*sa, -x*sa+y*ca
		k := 3 * w / (3*w + across*math.Sin(tilt))
		across *= math.Cos(tilt)
		x, y = (along*ca-across*sa)*k, (along*sa+across*ca)*k
		q[i] = centre.Add(Point{x*math.Cos(angle) - y*math.Sin(angle), x*math.Sin(angle) + y*math.Cos(angle)})
	}
	return q
}

// TestSquareTo compares the closed form with the fit, and the inverse with where it came from.
func TestSquareTo(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 14))
	for range 200 {
		q := tilted(Point{200, 200}, 100, 60, 7*rng.Float64(), rng.Float64(), 7*rng.Float64())
		fitted, err := FitHomography([]Point{{0, 0}, {1, 0}, {1, 1}, {0, 1}}, q[:])
		if err != nil {
			t.Fatal(err)
		}
		h := SquareTo(q)
		back := h.Inverse()
		for n := range 24 {
			u, v := float64(n%6)/5, float64(n/6)/3
			p := h.At(u, v)
			if d := p.Distance(fitted.At(u, v)); d > fitTolerance {
				t.Fatalf("%v: off by %g px at %g, %g", q, d, u, v)
			}
			if d := back.At(p.X, p.Y).Distance(Point{u, v}); d > fitTolerance {
				t.Fatalf("%v: the inverse is off by %g at %g, %g", q, d, u, v)
			}
		}
	}
}

// TestSquareToKeepsLines: diagonals stay straight in perspective, so their crossing is the image of
// the middle.
func TestSquareToKeepsLines(t *testing.T) {
	q := Quad{{10, 20}, {110, 15}, {125, 90}, {5, 80}}
	want, ok := Crossing(q[0], q[2], q[1], q[3])
	if p := SquareTo(q).At(0.5, 0.5); !ok || p.Distance(want) > 1e-9 {
		t.Errorf("middle at %v, want %v", p, want)
	}
	if part := q.Part(0, 0, 1, 1); part.Farthest(q) > 1e-9 {
		t.Errorf("the whole of %v is %v", q, part)
	}
}

// TestInner: everything that Inner returns lies inside the quad, and it is not much smaller than it
// could be.
func TestInner(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for range 200 {
		q := Upright(100, 100, 50+100*rng.Float64(), 50+100*rng.Float64())
		for i := range q {
			q[i].X += 10*rng.Float64() - 5
			q[i].Y += 10*rng.Float64() - 5
		}
		in, ok := q.Inner(2)
		if !ok {
			t.Fatalf("nothing inside %v", q)
		}
		for _, p := range [4]Point{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
			x, y := float64(in.X)+p.X*float64(in.W), float64(in.Y)+p.Y*float64(in.H)
			for _, e := range q.Edges() {
				if d := e.Distance(x, y); d < 2-1e-6 {
					t.Fatalf("corner %g,%g of %v is %.2f pixels inside %v", x, y, in, d, q)
				}
			}
		}
		low, high := q.Extent()
		if share := float64(in.W*in.H) / ((high.X - low.X) * (high.Y - low.Y)); share < 0.25 {
			t.Errorf("%v fills %.2f of the bounds of %v", in, share, q)
		}
	}
	if _, ok := Upright(5, 5, 3, 3).Inner(2); ok {
		t.Error("a quad of 3 pixels has no inside at a margin of 2")
	}
}

func TestMovedHomography(t *testing.T) {
	h := Homography{40, 3, 100, -2, 45, 200, 0.01, 0.02, 1}
	m := h.Moved(Point{1, -1})
	if d := m.At(2, 3).Distance(h.At(3, 2)); d > fitTolerance {
		t.Errorf("off by %g px", d)
	}
}

func TestQuad(t *testing.T) {
	square := Quad{{0, 0}, {10, 0}, {10, 10}, {0, 10}}
	if a := square.Area(); a != 100 {
		t.Errorf("area %g, want 100", a)
	}
	if !square.Convex() || (Quad{{0, 0}, {0, 10}, {10, 10}, {10, 0}}).Convex() || (Quad{{0, 0}, {10, 0}, {1, 1},
		{0, 10}}).Convex() {
		t.Error("convex means clockwise and without a dent")
	}
	for _, c := range []struct {
		p  Point
		in bool
	}{{Point{5, 5}, true}, {Point{-0.1, 5}, false}, {Point{5, 10.1}, false}, {Point{9.9, 9.9}, true}} {
		if square.Contains(c.p) != c.in {
			t.Errorf("contains(%v) is not %v", c.p, c.in)
		}
	}
	if got, want := square.Grow(2), (Quad{{-2, -2}, {12, -2}, {12, 12}, {-2, 12}}); got != want {
		t.Errorf("grown: %v", got)
	}
}

// TestInnerRectangle: whatever the quad, the rectangle lies in it, holds its centre's pixel and
// is not empty.
func TestInnerRectangle(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for range 500 {
		at := Point{50 + 100*rng.Float64(), 50 + 100*rng.Float64()}
		q := tilted(at, 1+60*rng.Float64(), 1+60*rng.Float64(), 7*rng.Float64(), rng.Float64(), 7*rng.Float64())
		r := q.InnerRectangle()
		if r.Empty() {
			t.Fatalf("%v: empty", q)
		}
		if r.Dx() == 1 && r.Dy() == 1 {
			continue // the pixel at the centre, however small the quad
		}
		for _, p := range []Point{{float64(r.Min.X), float64(r.Min.Y)}, {float64(r.Max.X), float64(r.Max.Y)}} {
			if !q.Grow(1e-6).Contains(p) {
				t.Fatalf("%v: %v sticks out at %v", q, r, p)
			}
		}
	}
}

func TestConvexHull(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for range 100 {
		points := []Point{{0, 0}, {20, 0}, {20, 10}, {0, 10}}
		for range 50 {
			points = append(points, Point{20 * rng.Float64(), 10 * rng.Float64()})
		}
		slices.SortFunc(points, func(a, b Point) int { return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X)) })
		hull := ConvexHull(points)
		if len(hull) != 4 || PolygonArea(hull) != 200 {
			t.Fatalf("hull %v", hull)
		}
	}
}

// TestEnclosingQuads: a corner cut off by something in front comes back, also where the cut is
// longer than a side.
func TestEnclosingQuads(t *testing.T) {
	want := Quad{{0, 0}, {100, 0}, {100, 60}, {0, 60}}
	for _, cut := range [][]Point{
		{{0, 0}, {80, 0}, {100, 15}, {100, 60}, {0, 60}},
		{{0, 0}, {30, 0}, {100, 50}, {100, 60}, {0, 60}},
		{{0, 0}, {100, 0}, {100, 60}, {0, 60}},
	} {
		quads := EnclosingQuads(cut)
		if !slices.ContainsFunc(quads, func(q Quad) bool { return math.Abs(q.Area()-want.Area()) < fitTolerance }) {
			t.Errorf("quads %v, want %v among them", quads, want)
		}
	}
	if q := EnclosingQuads([]Point{{0, 0}, {10, 0}, {5, 8}}); len(q) > 0 {
		t.Errorf("a triangle has no four sides: %v", q)
	}
}
