package random

import (
	"math"
	"math/rand/v2"
	"testing"
)

// errorsAllowed is how many standard errors a figure may lie from the truth: 18 figures, so that
// 4.5 is passed by chance less than once in 1,000 changes of the seeds.
const errorsAllowed = 4.5

// Mean and variance of a Poisson variable are both its parameter, and it is 0 with exp(-mean).
func TestPoisson(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	const n = 200000
	for _, mean := range []float64{0.05, 0.7, 3, 3.11, 11, 19.99} {
		var sum, sumSq, none float64
		for range n {
			k := float64(Poisson(rng.Uint64(), float32(mean)))
			sum, sumSq = sum+k, sumSq+k*k
			if k == 0 {
				none++
			}
		}
		m := sum / n
		v := sumSq/n - m*m
		if d := math.Abs(m-mean) / math.Sqrt(mean/n); d > errorsAllowed {
			t.Errorf("mean %g comes out as %g: %.1f standard errors", mean, m, d)
		}
		// The fourth central moment of a Poisson variable is mean + 3 mean^2.
		if d := math.Abs(v-mean) / math.Sqrt((mean+2*mean*mean)/n); d > errorsAllowed {
			t.Errorf("mean %g: variance %g: %.1f standard errors", mean, v, d)
		}
		p := math.Exp(-mean)
		if d := math.Abs(none/n-p) / math.Sqrt(p*(1-p)/n); d > errorsAllowed {
			t.Errorf("mean %g: share of zeros %g, want %g", mean, none/n, p)
		}
	}
}
