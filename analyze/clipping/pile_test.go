package clipping

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// TestPilesUp throws cells on codes of one density, as light that goes on lies: they pile up in fewer than one
// of two hundred draws (3.5 standard deviations are one in 4300 of a normal distribution; the standard deviation
// is that of a count of a few, which lies too low by chance). Three times the density does.
func TestPilesUp(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 5))
	const draws, width = 20000, 0.4
	for _, density := range []float64{20, 60, 400} {
		count := func(mean float64) int { return int(distuv.Poisson{Lambda: mean, Src: random}.Rand()) }
		wrong, missed := 0, 0
		for range draws {
			if pilesUp(count(density*width), count(density), width, pilesBy) {
				wrong++
			}
			if !pilesUp(count(3*density*width), count(density), width, pilesBy) {
				missed++
			}
		}
		if wrong > draws/200 || density >= 60 && missed > draws/100 {
			t.Errorf("density %g: %d of %d pile up by chance, %d of three times as many do not", density, wrong, draws, missed)
		}
	}
	if !pilesUp(8, 0, width, pilesBy) {
		t.Error("cells over none do not pile up")
	}
}
