package geometry

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// corners of the unit square, in the order of a quad's.
var corners = Quad{{0, 0}, {1, 0}, {1, 1}, {0, 1}}

// solved is the homography through four points, by gonum's solution of the eight equations with h8 = 1.
func solved(t *testing.T, from, to Quad) (h Homography) {
	t.Helper()
	a, b := mat.NewDense(8, 8, nil), mat.NewVecDense(8, nil)
	for i, p := range from {
		a.SetRow(2*i, []float64{p.X, p.Y, 1, 0, 0, 0, -p.X * to[i].X, -p.Y * to[i].X})
		a.SetRow(2*i+1, []float64{0, 0, 0, p.X, p.Y, 1, -p.X * to[i].Y, -p.Y * to[i].Y})
		b.SetVec(2*i, to[i].X)
		b.SetVec(2*i+1, to[i].Y)
	}
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		t.Fatal(err)
	}
	copy(h[:8], x.RawVector().Data)
	h[8] = 1
	return h
}

// convex is a random convex quad, its corners clockwise.
func convex(rng *rand.Rand) Quad {
	for {
		q := Upright(100*rng.Float64(), 100*rng.Float64(), 20+80*rng.Float64(), 20+80*rng.Float64())
		for i := range q {
			q[i] = q[i].Add(Point{20*rng.Float64() - 10, 20*rng.Float64() - 10})
		}
		if q.Convex() {
			return q
		}
	}
}

// places are points spread over the unit square.
func places() (p []Point) {
	for n := range 25 {
		p = append(p, Point{float64(n%5) / 4, float64(n/5) / 4})
	}
	return p
}

// TestHomographyAgainstEquations: both ways to a homography are the solution of the eight equations.
func TestHomographyAgainstEquations(t *testing.T) {
	const tolerance = 1e-7 // pixels
	rng := rand.New(rand.NewPCG(51, 1))
	for range 200 {
		q := convex(rng)
		want := solved(t, corners, q)
		fitted, err := FitHomography(corners[:], q[:])
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range places() {
			at := want.At(p.X, p.Y)
			if d := SquareTo(q).At(p.X, p.Y).Distance(at); d > tolerance {
				t.Fatalf("%v: the square's lies %g off", q, d)
			}
			if d := fitted.At(p.X, p.Y).Distance(at); d > tolerance {
				t.Fatalf("%v: the fitted lies %g off", q, d)
			}
		}
	}
}

// TestHomographyGroup: an inverse returns each place; scaling, shifting and moving do what they say.
func TestHomographyGroup(t *testing.T) {
	const tolerance = 1e-8
	rng := rand.New(rand.NewPCG(51, 2))
	for range 100 {
		h := SquareTo(convex(rng))
		d, k := Point{10 * rng.NormFloat64(), 10 * rng.NormFloat64()}, 0.2+3*rng.Float64()
		move := Point{0.3 * rng.Float64(), 0.3 * rng.Float64()}
		for _, p := range places() {
			at := h.At(p.X, p.Y)
			if back := h.Inverse().At(at.X, at.Y); back.Distance(p) > tolerance {
				t.Fatalf("%v returns as %v", p, back)
			}
			if got := h.Times(k).At(p.X, p.Y); got.Distance(at.Scale(k)) > tolerance {
				t.Fatalf("times %g: %v, want %v", k, got, at.Scale(k))
			}
			if got := h.Plus(d).At(p.X, p.Y); got.Distance(at.Add(d)) > tolerance {
				t.Fatalf("plus %v: %v, want %v", d, got, at.Add(d))
			}
			if got, want := h.Moved(move).At(p.X, p.Y), h.At(p.X+move.X, p.Y+move.Y); got.Distance(want) > tolerance {
				t.Fatalf("moved by %v: %v, want %v", move, got, want)
			}
		}
	}
}

// TestCrossRatio: four points on a line keep their cross-ratio, the invariant of projective geometry.
func TestCrossRatio(t *testing.T) {
	rng := rand.New(rand.NewPCG(51, 3))
	ratio := func(p [4]Point) float64 {
		return p[0].Distance(p[2]) * p[1].Distance(p[3]) / (p[1].Distance(p[2]) * p[0].Distance(p[3]))
	}
	for range 100 {
		h := SquareTo(convex(rng))
		a, b := Point{rng.Float64(), rng.Float64()}, Point{rng.Float64(), rng.Float64()}
		var flat, seen [4]Point
		for i, share := range []float64{0, 0.2, 0.5, 1} {
			flat[i] = Mix(a, b, share)
			seen[i] = h.At(flat[i].X, flat[i].Y)
		}
		if got, want := ratio(seen), ratio(flat); math.Abs(got-want) > 1e-6*want {
			t.Fatalf("cross-ratio %g, before %g", got, want)
		}
	}
}

// TestPartOfQuad: parts of a quad tile it: the halves share a side, their areas add up.
func TestPartOfQuad(t *testing.T) {
	rng := rand.New(rand.NewPCG(51, 4))
	for range 50 {
		q, cut := convex(rng), 0.2+0.6*rng.Float64()
		left, right := q.Part(0, 0, cut, 1), q.Part(cut, 0, 1, 1)
		if left[1].Distance(right[0]) > 1e-9 || left[2].Distance(right[3]) > 1e-9 ||
			math.Abs(left.Area()+right.Area()-q.Area()) > 1e-6 {
			t.Fatalf("%v cut at %.2f: %v and %v", q, cut, left, right)
		}
		if whole := q.Part(0, 0, 1, 1); whole.Farthest(q) > 1e-9 {
			t.Fatalf("%v as its own part: %v", q, whole)
		}
		if cell, image := SquareTo(q).Cell(0.5, 0.5, 0.2), SquareTo(q).Image(0.3, 0.3, 0.7, 0.7); cell != image {
			t.Fatalf("cell %v, image %v", cell, image)
		}
	}
}
