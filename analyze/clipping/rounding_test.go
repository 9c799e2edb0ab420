package clipping

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestUnrounded rounds normal noise around means that lie wherever between two steps: the variance of what
// comes out leads back to the noise's own. Half of the mean squared difference of n pairs is known to
// sqrt(8 / n) of it at these few steps; at the least noise one pair of sixty differs.
func TestUnrounded(t *testing.T) {
	const n = 400000
	random := rand.New(rand.NewPCG(1, 7))
	for _, rounding := range []float64{1.0 / 12, 0.062, 0.316} {
		step := math.Sqrt(12 * rounding)
		for _, sigma := range []float64{0.015, 0.05, 0.1, 0.2, 0.3, 0.45, 0.6, 2} {
			var sum float64
			for range n {
				mean := random.Float64()
				d := math.Round(mean+sigma*random.NormFloat64()) - math.Round(mean+sigma*random.NormFloat64())
				sum += d * d
			}
			got := math.Sqrt(unrounded(sum/2/n*step*step, rounding))
			if want := sigma * step; math.Abs(got/want-1) > 0.04 {
				t.Errorf("rounding %.3f, sigma %.3f: %.4f, want %.4f", rounding, sigma, got, want)
			}
		}
	}
	if unrounded(0.3, 0) != 0.3 || unrounded(0, 0.06) != 0 || unrounded(-1, 0.06) != 0 {
		t.Error("nothing rounded, or nothing left")
	}
}
