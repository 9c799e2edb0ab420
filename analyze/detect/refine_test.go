package detect

import (
	"math/rand/v2"
	"testing"

	"stopledger/decode/geometry"
)

// TestGridThrough: the outer patches lie in the corners.
func TestGridThrough(t *testing.T) {
	const tolerance = 1e-9 // pixels: exact but for rounding
	rng := rand.New(rand.NewPCG(14, 14))
	for range 200 {
		q := geometry.Upright(200, 200, 100, 60)
		for i := range q {
			q[i] = q[i].Add(geometry.Pt(20*rng.Float64(), 20*rng.Float64()))
		}
		if d := gridThrough(q).Image(0, 0, 5, 3).Farthest(q); d > tolerance {
			t.Fatalf("%v: off by %g px", q, d)
		}
	}
}
