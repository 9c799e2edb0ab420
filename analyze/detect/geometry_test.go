package detect

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
		truth := homography{300 * rng.Float64(), 50 * rng.NormFloat64(), 1000 * rng.Float64(), 50 * rng.NormFloat64(), 300 * rng.Float64(), 500,
			0.05 * rng.Float64(), 0.05 * rng.Float64(), 1}
		var from, to []Point
		for i := range 24 {
			p := Point{float64(i % 6), float64(i / 6)}
			from, to = append(from, p), append(to, truth.at(p.X, p.Y))
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
			h, err := fitHomography(f, g)
			if err != nil {
				t.Fatal(err)
			}
			for i, p := range from {
				if d := h.at(p.X, p.Y).distance(to[i]); d > fitTolerance*to[i].length() {
					t.Fatalf("from %d points: off by %g px", n, d)
				}
			}
		}
	}
}

func TestHomographyNeedsAPlane(t *testing.T) {
	line := []Point{{0, 0}, {1, 1}, {2, 2}, {3, 3}, {4, 4}}
	for _, c := range [][2][]Point{{line, line}, {line[:3], line[:3]}, {nil, nil}} {
		if h, err := fitHomography(c[0], c[1]); err == nil {
			t.Errorf("%d points on a line: %v", len(c[0]), h)
		}
	}
}

// TestGridThrough compares the closed form with the fit.
func TestGridThrough(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 14))
	for range 200 {
		q := pose(Point{200, 200}, 100, 60, 7*rng.Float64(), rng.Float64(), 7*rng.Float64(), 2)
		fitted, err := fitHomography([]Point{{0, 0}, {5, 0}, {5, 3}, {0, 3}}, q[:])
		if err != nil {
			t.Fatal(err)
		}
		h := gridThrough(q)
		for n := range 24 {
			u, v := float64(n%6), float64(n/6)
			if d := h.at(u, v).distance(fitted.at(u, v)); d > fitTolerance {
				t.Fatalf("%v: off by %g px at %g, %g", q, d, u, v)
			}
		}
	}
}

func TestMovedHomography(t *testing.T) {
	h := homography{40, 3, 100, -2, 45, 200, 0.01, 0.02, 1}
	m := h.moved(Point{1, -1})
	if d := m.at(2, 3).distance(h.at(3, 2)); d > fitTolerance {
		t.Errorf("off by %g px", d)
	}
}

func TestQuad(t *testing.T) {
	square := quad{{0, 0}, {10, 0}, {10, 10}, {0, 10}}
	if a := square.area(); a != 100 {
		t.Errorf("area %g, want 100", a)
	}
	if !square.convex() || (quad{{0, 0}, {0, 10}, {10, 10}, {10, 0}}).convex() || (quad{{0, 0}, {10, 0}, {1, 1}, {0, 10}}).convex() {
		t.Error("convex means clockwise and without a dent")
	}
	for _, c := range []struct {
		p  Point
		in bool
	}{{Point{5, 5}, true}, {Point{-0.1, 5}, false}, {Point{5, 10.1}, false}, {Point{9.9, 9.9}, true}} {
		if square.contains(c.p) != c.in {
			t.Errorf("contains(%v) is not %v", c.p, c.in)
		}
	}
	if got, want := square.grow(2), (quad{{-2, -2}, {12, -2}, {12, 12}, {-2, 12}}); got != want {
		t.Errorf("grown: %v", got)
	}
}

// TestInnerRectangle: whatever the quad, the rectangle lies in it, holds its centre's pixel and
// is not empty.
func TestInnerRectangle(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for range 500 {
		at := Point{50 + 100*rng.Float64(), 50 + 100*rng.Float64()}
		q := pose(at, 1+60*rng.Float64(), 1+60*rng.Float64(), 7*rng.Float64(), rng.Float64(), 7*rng.Float64(), 3)
		r := q.innerRectangle()
		if r.Empty() {
			t.Fatalf("%v: empty", q)
		}
		if r.Dx() == 1 && r.Dy() == 1 {
			continue // the pixel at the centre, however small the quad
		}
		for _, p := range []Point{{float64(r.Min.X), float64(r.Min.Y)}, {float64(r.Max.X), float64(r.Max.Y)}} {
			if !q.grow(1e-6).contains(p) {
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
		hull := convexHull(points)
		if len(hull) != 4 || polygonArea(hull) != 200 {
			t.Fatalf("hull %v", hull)
		}
	}
}

// TestEnclosingQuads: a corner cut off by something in front comes back, also where the cut is
// longer than a side.
func TestEnclosingQuads(t *testing.T) {
	want := quad{{0, 0}, {100, 0}, {100, 60}, {0, 60}}
	for _, cut := range [][]Point{
		{{0, 0}, {80, 0}, {100, 15}, {100, 60}, {0, 60}},
		{{0, 0}, {30, 0}, {100, 50}, {100, 60}, {0, 60}},
		{{0, 0}, {100, 0}, {100, 60}, {0, 60}},
	} {
		quads := enclosingQuads(cut)
		if !slices.ContainsFunc(quads, func(q quad) bool { return math.Abs(q.area()-want.area()) < fitTolerance }) {
			t.Errorf("quads %v, want %v among them", quads, want)
		}
	}
	if q := enclosingQuads([]Point{{0, 0}, {10, 0}, {5, 8}}); len(q) > 0 {
		t.Errorf("a triangle has no four sides: %v", q)
	}
}
