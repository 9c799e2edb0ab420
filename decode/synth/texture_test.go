package synth

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"stopledger/decode/geometry"
)

// lines are rows of a texture one under another.
func lines(t Texture, w, h int) []float64 {
	var out []float64
	for y := range h {
		for _, v := range t.row(w, 0.5, float64(y)+0.5, 1, 1) {
			out = append(out, float64(v))
		}
	}
	return out
}

// Light around 1 is 1 on average: the mean of many cells, against its standard error. Cells of 8
// pixels give 160 x 40 independent values of the coarsest octave.
func TestTextureIsAroundOne(t *testing.T) {
	tex := Texture{CellX: 8, CellY: 8, Octaves: 1, Contrast: 0.5, Seed: 3}
	mean, sd := stat.MeanStdDev(lines(tex, 1280, 320), nil)
	se := sd / math.Sqrt(160*40)
	if math.Abs(mean-1) > errorsAllowed*se {
		t.Errorf("mean %.4f: %.1f standard errors from 1", mean, (mean-1)/se)
	}
}

// The spread of one octave is 0.6 of the contrast times 0.429: uniform values of -1..1 at the lattice's
// points have a variance of 1/3, and between them the weights s = 3 t^2 - 2 t^3 and 1 - s leave, both
// ways, the mean of s^2 + (1 - s)^2 over t, which is 26/35.
func TestTextureContrast(t *testing.T) {
	one := math.Sqrt(1.0/3) * 26 / 35
	for _, contrast := range []float64{0.1, 0.3, 0.6} {
		all := lines(Texture{CellX: 8, CellY: 8, Octaves: 1, Contrast: contrast, Seed: 3}, 800, 400)
		// 100 x 50 cells: a standard deviation has a relative error of 1/sqrt(2 x 5000), or more,
		// since neighbouring cells share points.
		if got, want := stat.StdDev(all, nil), 0.6*contrast*one; math.Abs(got/want-1) > 2*errorsAllowed/math.Sqrt(2*5000) {
			t.Errorf("contrast %g: spread %.4f, want %.4f", contrast, got, want)
		}
		// Octaves of half the strength add up to less than twice the first.
		all = lines(Texture{CellX: 24, CellY: 24, Octaves: 5, Contrast: contrast, Seed: 3}, 400, 200)
		if low, high := slices.Min(all), slices.Max(all); low < 1-1.2*contrast || high > 1+1.2*contrast {
			t.Errorf("contrast %g: from %.3f to %.3f", contrast, low, high)
		}
	}
	for _, v := range lines(Texture{CellX: 24, CellY: 24, Octaves: 5, Seed: 3}, 50, 5) {
		if v != 1 {
			t.Fatalf("without contrast light is %g", v)
		}
	}
}

// Neighbouring samples of a coarse texture are nearly alike, and samples a cell apart are not: the
// correlation of value noise falls to nothing over one cell of its lattice.
func TestTextureIsSmooth(t *testing.T) {
	tex := Texture{CellX: 16, CellY: 16, Octaves: 1, Contrast: 1, Seed: 9}
	const w, h = 1600, 64
	all := lines(tex, w, h)
	var near, far, a []float64
	for y := range h {
		for x := range w - 40 {
			a = append(a, all[y*w+x])
			near = append(near, all[y*w+x+1])
			far = append(far, all[y*w+x+33])
		}
	}
	if r := stat.Correlation(a, near, nil); r < 0.97 {
		t.Errorf("neighbours are correlated by %.3f", r)
	}
	// About 100 x 4 cells: a correlation of 0 has a standard error of 0.05.
	if r := stat.Correlation(a, far, nil); math.Abs(r) > errorsAllowed*0.05 {
		t.Errorf("samples two cells apart are correlated by %.3f", r)
	}
}

// Another seed gives an unrelated texture, the same seed the same.
func TestTextureSeeds(t *testing.T) {
	tex := Texture{CellX: 10, CellY: 10, Octaves: 3, Contrast: 0.5, Seed: 1}
	a, b := lines(tex, 300, 100), lines(tex, 300, 100)
	if !slices.Equal(a, b) {
		t.Error("the same seed gives another texture")
	}
	tex.Seed = 100
	// 30 x 10 cells of the coarsest octave: a standard error of 0.06.
	if r := stat.Correlation(a, lines(tex, 300, 100), nil); math.Abs(r) > errorsAllowed*0.06 {
		t.Errorf("two seeds are correlated by %.3f", r)
	}
}

// Octaves too fine for the step are left out, so that nothing shimmers: seen from far away a texture
// is flat, and near by it is what it is.
func TestFineOctavesAreLeftOut(t *testing.T) {
	tex := Texture{CellX: 8, CellY: 8, Octaves: 4, Contrast: 0.5, Seed: 2}
	for _, v := range tex.row(100, 0.5, 0.5, 8, 8) { // a cell a pixel
		if v != 1 {
			t.Fatalf("a cell a pixel: light %g", v)
		}
	}
	one := Texture{CellX: 8, CellY: 8, Octaves: 1, Contrast: 0.5, Seed: 2}
	if !slices.Equal(tex.row(100, 0.5, 0.5, 2, 2), one.row(100, 0.5, 0.5, 2, 2)) {
		t.Error("a quarter of a cell a pixel: more than the coarsest octave is seen")
	}
	for _, c := range []struct{ cells, want float64 }{{0, 1}, {0.25, 1}, {0.375, 0.5}, {0.5, 0}, {2, 0}} {
		if got := detail(c.cells); got != c.want {
			t.Errorf("%g cells a pixel: %g of an octave is left, want %g", c.cells, got, c.want)
		}
	}
}

// The lattice is spread evenly over -1..1, and smooth meets its ends without a bend.
func TestLattice(t *testing.T) {
	var all []float64
	for x := -100; x < 100; x++ {
		for y := -50; y < 50; y++ {
			v := float64(lattice(5, x, y))
			if v < -1 || v >= 1 {
				t.Fatalf("%d, %d: %g", x, y, v)
			}
			all = append(all, v)
		}
	}
	mean, variance := stat.MeanVariance(all, nil)
	n := float64(len(all))
	// A uniform distribution over -1..1 has a variance of 1/3 and a fourth moment of 1/5.
	if math.Abs(mean) > errorsAllowed*math.Sqrt(1/(3*n)) ||
		math.Abs(variance-1.0/3) > errorsAllowed*math.Sqrt((0.2-1.0/9)/n) {
		t.Errorf("mean %.4f, variance %.4f", mean, variance)
	}
	if smooth(0) != 0 || smooth(1) != 1 || smooth(0.5) != 0.5 || smooth(0.001) > 4e-6 || smooth(0.999) < 1-4e-6 {
		t.Errorf("smooth: %g %g %g", smooth(0), smooth(0.5), smooth(1))
	}
}

// A surface is its texture within its edges and nothing outside.
func TestSurfaceKeepsToItsQuad(t *testing.T) {
	q := geometry.Quad{geometry.Pt(20, 10), geometry.Pt(90, 20), geometry.Pt(80, 70), geometry.Pt(15, 60)}
	got := painted(110, 80, 0, NewSurface(q, Light{1, 0.5, 0.25},
		Texture{CellX: 12, CellY: 12, Octaves: 3, Contrast: 0.3, Seed: 4}))
	outside, inside := q.Grow(1), q.Grow(-1)
	for y := range 80 {
		for x := range 110 {
			v, at := got[0][y*110+x], geometry.Pt(float64(x)+0.5, float64(y)+0.5)
			switch {
			case !outside.Contains(at) && v != 0:
				t.Fatalf("%d, %d outside: %g", x, y, v)
			case inside.Contains(at) && (v < 0.6 || v > 1.4):
				t.Fatalf("%d, %d inside: %g", x, y, v)
			case math.Abs(float64(got[1][y*110+x]-v/2)) > 1e-5 || math.Abs(float64(got[2][y*110+x]-v/4)) > 1e-5:
				t.Fatalf("%d, %d: the colour changes", x, y)
			}
		}
	}
}
