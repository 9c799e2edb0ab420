package geometry

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestHullProperties: a hull turns one way only, holds every point, has points for its corners, and is its own hull.
func TestHullProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(52, 1))
	inOrder := func(a, b Point) int { return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X)) }
	for range 200 {
		var points []Point
		for range 3 + rng.IntN(40) {
			points = append(points, Point{float64(rng.IntN(20)), float64(rng.IntN(20))})
		}
		slices.SortFunc(points, inOrder)
		points = slices.Compact(points)
		hull := ConvexHull(points)
		if PolygonArea(hull) == 0 {
			continue // all on a line
		}
		for i, a := range hull {
			b, c := hull[(i+1)%len(hull)], hull[(i+2)%len(hull)]
			if b.Sub(a).Cross(c.Sub(b)) <= 0 || !slices.Contains(points, a) {
				t.Fatalf("hull %v of %v", hull, points)
			}
			for _, p := range points {
				if b.Sub(a).Cross(p.Sub(a)) < 0 {
					t.Fatalf("hull %v leaves %v out", hull, p)
				}
			}
		}
		again := slices.Clone(hull)
		slices.SortFunc(again, inOrder)
		if second := ConvexHull(again); len(second) != len(hull) || PolygonArea(second) != PolygonArea(hull) {
			t.Fatalf("hull of %v: %v", hull, second)
		}
	}
}

// TestPolygonArea: Pick's theorem counts the area of a polygon with whole corners: points inside, and half of those on
// its rim, less one.
func TestPolygonArea(t *testing.T) {
	for _, p := range [][]Point{
		{{0, 0}, {8, 0}, {8, 5}, {0, 5}}, {{0, 0}, {9, 2}, {4, 7}}, {{2, 0}, {6, 1}, {9, 5}, {5, 9}, {0, 4}},
	} {
		inside, rim := 0, 0
		for y := range 10 {
			for x := range 10 {
				switch least := leastTurn(p, Point{float64(x), float64(y)}); {
				case least > 0:
					inside++
				case least == 0:
					rim++
				}
			}
		}
		want := float64(inside) + float64(rim)/2 - 1
		if got := PolygonArea(p); got != want {
			t.Errorf("%v: %g, want %g", p, got, want)
		}
		slices.Reverse(p)
		if got := PolygonArea(p); got != -want {
			t.Errorf("%v the other way round: %g, want %g", p, got, -want)
		}
	}
}

// leastTurn is the least cross product of a convex polygon's sides with the way to a point: 0 on its rim, negative
// outside.
func leastTurn(p []Point, at Point) float64 {
	least := math.Inf(1)
	for i, a := range p {
		least = math.Min(least, p[(i+1)%len(p)].Sub(a).Cross(at.Sub(a)))
	}
	return least
}

// holds reports whether all corners of an upright rectangle lie inside a quad by a margin.
func holds(q Quad, x0, y0, x1, y1, margin float64) bool {
	for i, a := range q {
		b := q[(i+1)%4]
		for _, p := range []Point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}} {
			if b.Sub(a).Cross(p.Sub(a))/b.Distance(a) < margin-1e-9 {
				return false
			}
		}
	}
	return true
}

// TestInnerAgainstAll: the rectangle found lies inside by the margin and has most of the area of the largest of all
// rectangles of whole pixels about the centre.
func TestInnerAgainstAll(t *testing.T) {
	const least = 0.7 // of the largest: eleven proportions are tried, and whole pixels lost at each side
	rng := rand.New(rand.NewPCG(52, 2))
	for range 40 {
		q := convex(rng)
		margin := 3 * rng.Float64()
		r, ok := q.Inner(margin)
		x0, y0, x1, y1 := float64(r.X), float64(r.Y), float64(r.X+r.W), float64(r.Y+r.H)
		if !ok || !holds(q, x0, y0, x1, y1, margin) {
			t.Fatalf("%v, margin %.2f: %v (%v)", q, margin, r, ok)
		}
		c := SquareTo(q).At(0.5, 0.5)
		best := 0.0
		for half := 1.0; half < 60; half++ {
			for high := 1.0; high < 60; high++ {
				if 4*half*high > best && holds(q, c.X-half, c.Y-high, c.X+half, c.Y+high, margin) {
					best = 4 * half * high
				}
			}
		}
		if area := float64(r.W * r.H); area < least*best {
			t.Errorf("%v, margin %.2f: %v of %g pixels, the largest has %.0f", q, margin, r, area, best)
		}
	}
	if r, ok := Upright(10, 10, 5, 5).Inner(3); ok {
		t.Errorf("a margin over half the side leaves %v", r)
	}
}

// TestInnerRectangleIsLargest: the rectangle with the proportions of the bounds lies inside, and one pixel more at each
// side would not.
func TestInnerRectangleIsLargest(t *testing.T) {
	rng := rand.New(rand.NewPCG(52, 3))
	for range 100 {
		q := convex(rng)
		r, b := q.InnerRectangle(), q.Bounds()
		if !holds(q, float64(r.Min.X), float64(r.Min.Y), float64(r.Max.X), float64(r.Max.Y), 0) {
			t.Fatalf("%v: %v lies outside", q, r)
		}
		k := math.Max(float64(r.Dx()+4)/float64(b.Dx()), float64(r.Dy()+4)/float64(b.Dy()))
		c := q.Centre()
		dx, dy := k*float64(b.Dx())/2, k*float64(b.Dy())/2
		if holds(q, c.X-dx, c.Y-dy, c.X+dx, c.Y+dy, 0) {
			t.Errorf("%v: %v could be larger", q, r)
		}
	}
	if r := Upright(10.2, 10.2, 0.3, 0.3).InnerRectangle(); r.Dx() != 1 || r.Dy() != 1 {
		t.Errorf("smaller than a pixel: %v", r)
	}
}

// TestEdgesOfQuad: the distance to a side is that of its line, positive inside, whichever way the corners run.
func TestEdgesOfQuad(t *testing.T) {
	rng := rand.New(rand.NewPCG(52, 4))
	for range 50 {
		q := convex(rng)
		back := Quad{q[3], q[2], q[1], q[0]}
		for _, one := range []Quad{q, back} {
			edges, c := one.Edges(), q.Centre()
			for i, e := range edges {
				a, b := one[i], one[(i+1)%4]
				want := math.Abs(b.Sub(a).Cross(c.Sub(a))) / b.Distance(a)
				if math.Abs(e.Distance(c.X, c.Y)-want) > 1e-9 || math.Abs(e.Distance(a.X, a.Y)) > 1e-9 {
					t.Fatalf("%v: side %d: %g from the centre, want %g", one, i, e.Distance(c.X, c.Y), want)
				}
			}
		}
	}
}

// TestGrownQuad: each side of a grown quad lies so many pixels beyond the one before; drawn in again it is the same.
func TestGrownQuad(t *testing.T) {
	rng := rand.New(rand.NewPCG(52, 5))
	for range 50 {
		q := convex(rng)
		d := 5 * rng.Float64()
		grown, edges := q.Grow(d), q.Edges()
		for i := range grown {
			p := Mix(grown[i], grown[(i+1)%4], 0.3)
			if got := edges[i].Distance(p.X, p.Y); math.Abs(got+d) > 1e-9 {
				t.Fatalf("%v grown by %g: side %d lies %g out", q, d, i, -got)
			}
		}
		if back := grown.Grow(-d); back.Farthest(q) > 1e-6 {
			t.Errorf("%v grown and drawn in: %v", q, back)
		}
	}
}

// TestCrossing: lines meet where both say, and parallels nowhere.
func TestCrossing(t *testing.T) {
	rng := rand.New(rand.NewPCG(52, 6))
	at := func() Point { return Point{100 * rng.Float64(), 100 * rng.Float64()} }
	for range 200 {
		a, b, c, d := at(), at(), at(), at()
		p, ok := Crossing(a, b, c, d)
		if !ok {
			continue
		}
		scale := 1 + p.Distance(a) + p.Distance(c)
		if math.Abs(b.Sub(a).Cross(p.Sub(a)))/b.Distance(a) > 1e-9*scale ||
			math.Abs(d.Sub(c).Cross(p.Sub(c)))/d.Distance(c) > 1e-9*scale {
			t.Fatalf("%v-%v and %v-%v meet at %v", a, b, c, d, p)
		}
	}
	if p, ok := Crossing(Point{0, 0}, Point{4, 2}, Point{0, 5}, Point{8, 9}); ok {
		t.Errorf("parallels meet at %v", p)
	}
	if p, ok := Crossing(Point{3, 3}, Point{3, 3}, Point{0, 5}, Point{8, 1}); ok && math.IsNaN(p.X) {
		t.Errorf("a point for a line: %v", p)
	}
}
