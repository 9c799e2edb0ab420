package analyze

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// chiCells are cells of unit variance that hold still, with a share that moves: there the
// variance is 1.2 to 20 times as large.
func chiCells(n int, freedom, moving float64, seed uint64) []cellNoise {
	random := rand.New(rand.NewPCG(seed, 99))
	chi := distuv.ChiSquared{K: freedom, Src: random}
	cells := make([]cellNoise, n)
	for i := range cells {
		cells[i] = cellNoise{code: float64(i), variance: chi.Rand() / freedom}
		if float64(i) < moving*float64(n) {
			cells[i].variance *= 1.2 * math.Pow(20/1.2, random.Float64())
		}
	}
	return cells
}

// estimates runs the robust rule over seeds and returns mean and spread of the variance, and the
// mean of the standard errors it claims.
func estimates(n, seeds int, freedom, moving float64) (mean, spread, claimed float64) {
	var sum, square float64
	for seed := range uint64(seeds) {
		_, v, relative := quietCells(chiCells(n, freedom, moving, seed), freedom)
		sum += v
		square += v * v
		claimed += relative / float64(seeds)
	}
	mean = sum / float64(seeds)
	return mean, math.Sqrt((square/float64(seeds) - mean*mean) * float64(seeds) / float64(seeds-1)), claimed
}

func TestZZ(t *testing.T) {
	for _, n := range []int{8, 16, 40, 100, 400, 2000} {
		for _, moving := range []float64{0, .01, .05, .1, .2, .4} {
			m, s, c := estimates(n, 400, cellFreedom, moving)
			t.Logf("n %d moving %.2f: mean %.5f (se %.5f) spread %.5f claimed %.5f ideal %.5f", n, moving, m, s/20, s, c, math.Sqrt(2/253.0/float64(n)))
		}
	}
}
