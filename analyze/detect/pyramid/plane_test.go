package pyramid

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"stopledger/decode/geometry"
)

// sloping is samples of a plane over a square of places, with normal noise.
func sloping(rng *rand.Rand, level, gx, gy, sigma float64) (x, y, z []float64) {
	for j := range 20 {
		for i := range 30 {
			x, y = append(x, float64(i)+0.5), append(y, float64(j)+0.5)
			z = append(z, level+gx*x[len(z)]+gy*y[len(z)]+sigma*rng.NormFloat64())
		}
	}
	return x, y, z
}

// TestPlaneAgainstLeastSquares compares the fit to all samples with gonum's solution of z = a + b x + c y.
func TestPlaneAgainstLeastSquares(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 1))
	for range 20 {
		x, y, z := sloping(rng, 900*rng.Float64(), rng.NormFloat64(), rng.NormFloat64(), 5)
		keep := make([]bool, len(z))
		var rows, seen []float64
		for i := range z {
			if keep[i] = rng.Float64() < 0.7; keep[i] {
				rows, seen = append(rows, 1, x[i], y[i]), append(seen, z[i])
			}
		}
		var want mat.VecDense
		if err := want.SolveVec(mat.NewDense(len(seen), 3, rows), mat.NewVecDense(len(seen), seen)); err != nil {
			t.Fatal(err)
		}
		p := planeOf(x, y, z, keep)
		if origin := p.At(geometry.Pt(0, 0)); math.Abs(origin-want.AtVec(0)) > 1e-8 ||
			math.Abs(p.GX-want.AtVec(1)) > 1e-10 || math.Abs(p.GY-want.AtVec(2)) > 1e-10 {
			t.Fatalf("%+v, want %v", p, want.RawVector().Data)
		}
	}
}

// TestPlaneWithoutFingers: a quarter of the samples that lie elsewhere do not move the plane, and what is left is
// the noise's standard deviation.
func TestPlaneWithoutFingers(t *testing.T) {
	const tolerance = 0.15 // of the noise: a median of 600
	rng := rand.New(rand.NewPCG(23, 2))
	for _, sigma := range []float64{2, 6} {
		x, y, z := sloping(rng, 700, 0.4, -0.7, sigma)
		for i := range z {
			if x[i] < 8 {
				z[i] += 300
			}
		}
		p, left := FitPlane(x, y, z, 6, 3)
		if math.Abs(p.GX-0.4) > 0.03*sigma || math.Abs(p.GY+0.7) > 0.03*sigma {
			t.Errorf("noise %g: slopes %.3f and %.3f, want 0.4 and -0.7", sigma, p.GX, p.GY)
		}
		// the finger's share lifts the median of all: the 2/3 point of |normal| is 0.967, the half point 0.6745
		if ratio := left / sigma; ratio < 1-tolerance || ratio > 0.967/NormalMAD+tolerance {
			t.Errorf("noise %g: %.2f left", sigma, left)
		}
	}
}

// TestPlaneOnALine: samples on one line, or one sample, do not tell a slope across it; none is invented.
func TestPlaneOnALine(t *testing.T) {
	p, left := FitPlane([]float64{1, 2, 3, 4}, []float64{5, 5, 5, 5}, []float64{7, 7, 7, 7}, 3, 3)
	if p.GX != 0 || p.GY != 0 || p.Level != 7 || left != 0 {
		t.Errorf("%+v, %g left", p, left)
	}
}

// TestPlaneTimes: a plane over pixels k times as large has the same values at the same places.
func TestPlaneTimes(t *testing.T) {
	p := Plane{geometry.Pt(12, 8), 500, 0.3, -0.2}
	for _, k := range []float64{0.5, 2, 4} {
		for _, q := range []geometry.Point{{X: 3, Y: 4}, {X: 100, Y: -7}} {
			if got, want := p.Times(k).At(q.Scale(1/k)), p.At(q); math.Abs(got-want) > 1e-9 {
				t.Errorf("%g times at %v: %g, want %g", k, q, got, want)
			}
		}
	}
}
