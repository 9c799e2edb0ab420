package footage

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
)

func TestTripodAndPan(t *testing.T) {
	pan := Pan(30, -7)
	for _, at := range []float64{0, 0.04, 1, 12.5} {
		if x, y, s := Tripod(at); x != 0 || y != 0 || s != 1 {
			t.Errorf("a tripod moved to (%g, %g) x %g", x, y, s)
		}
		if x, y, s := pan(at); math.Abs(x-30*at) > 1e-12 || math.Abs(y+7*at) > 1e-12 || s != 1 {
			t.Errorf("after %g s a pan is at (%g, %g) x %g", at, x, y, s)
		}
	}
}

// Sines of unrelated rates add up by their powers: sway of 1 and 0.7 and trembling of 0.12 and 0.08
// have a standard deviation of sqrt((1 + 0.49 + 0.0144 + 0.0064) / 2) = 0.87, about the pixels asked for.
func TestHandheldSwaysBySoManyPixels(t *testing.T) {
	for seed := uint64(1); seed < 6; seed++ {
		for _, pixels := range []float64{0.5, 4} {
			move := Handheld(pixels, seed)
			var across, down, both []float64
			for i := range 50000 {
				x, y, scale := move(float64(i) * 0.0373)
				if scale != 1 {
					t.Fatalf("the picture changes its size by %g", scale)
				}
				across, down, both = append(across, x), append(down, y), append(both, x*y)
			}
			want := pixels * math.Sqrt((1+0.49+0.0144+0.0064)/2)
			for _, v := range [][]float64{across, down} {
				mean, sd := stat.MeanStdDev(v, nil)
				if math.Abs(sd/want-1) > 0.01 || math.Abs(mean) > 0.01*want {
					t.Errorf("seed %d: sways by %.3f around %.3f pixels, want %.3f", seed, sd, mean, want)
				}
			}
			if c := stat.Mean(both, nil) / want / want; math.Abs(c) > 0.02 {
				t.Errorf("seed %d: across and down move together by %.3f", seed, c)
			}
		}
	}
}

// The same seed sways the same, another one differently, and pixels only scale it.
func TestHandheldIsReproducible(t *testing.T) {
	a, b, other, twice := Handheld(2, 7), Handheld(2, 7), Handheld(2, 8), Handheld(4, 7)
	same := 0
	for i := range 100 {
		at := float64(i) / 25
		ax, ay, _ := a(at)
		bx, by, _ := b(at)
		ox, _, _ := other(at)
		tx, ty, _ := twice(at)
		if ax != bx || ay != by {
			t.Fatalf("after %.2f s one seed is at (%g, %g) and (%g, %g)", at, ax, ay, bx, by)
		}
		if math.Abs(tx-2*ax) > 1e-12 || math.Abs(ty-2*ay) > 1e-12 {
			t.Fatalf("after %.2f s twice the sway is (%g, %g) of (%g, %g)", at, tx, ty, ax, ay)
		}
		if math.Abs(ox-ax) < 0.01 {
			same++
		}
	}
	if same > 20 {
		t.Errorf("two seeds are at one place in %d of 100 frames", same)
	}
}

// Breathing goes from 1 to 1 + share and back within its period, smoothly.
func TestBreathing(t *testing.T) {
	breathe := Breathing(0.04, 2)
	for at, want := range map[float64]float64{0: 1, 0.5: 1.02, 1: 1.04, 1.5: 1.02, 2: 1, 3: 1.04} {
		if x, y, s := breathe(at); x != 0 || y != 0 || math.Abs(s-want) > 1e-12 {
			t.Errorf("after %g s: (%g, %g) x %.5f, want %.5f", at, x, y, s, want)
		}
	}
}

// Seen wider, an edge moves towards the middle of the frame by as much.
func TestBreathingMovesEdges(t *testing.T) {
	m := drawn(120, 40, func(_ int, x, _ float64) float64 {
		return min(max((x-89.5)/8+0.5, 0), 1)
	})
	edge := func(scale float64) float64 {
		out := NewImage(100, 20)
		m.look(out, view{0, 0, scale}, 10)
		sum, _, _, _, _ := moments(out.Planes[0], 100)
		return 100 - sum/20
	}
	if at := edge(1); math.Abs(at-80) > 1e-4 {
		t.Errorf("the edge lies at %.4f, want 80", at)
	}
	for _, scale := range []float64{1.02, 1.05, 0.97} {
		if got, want := edge(scale), 50+30/scale; math.Abs(got-want) > geometric {
			t.Errorf("seen at %g the edge lies at %.3f, want %.3f", scale, got, want)
		}
	}
}
