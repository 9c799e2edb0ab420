package decode

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// TestCounter numbers frames whose packets went in out of order and some of which are lost.
func TestCounter(t *testing.T) {
	const seed = 7
	rng := rand.New(rand.NewPCG(seed, 0))
	for range 2000 {
		n := 1 + rng.IntN(20)
		shown := make([]int64, n) // irregular, rising
		for i := range shown {
			shown[i] = rng.Int64N(9) + 1
			if i > 0 {
				shown[i] += shown[i-1]
			}
		}
		sent := slices.Clone(shown)
		rng.Shuffle(n, func(i, j int) { sent[i], sent[j] = sent[j], sent[i] })
		var c counter
		for _, pts := range sent {
			c.sent(pts)
		}
		lost := 0
		for i, pts := range shown {
			if rng.IntN(4) == 0 {
				lost++
				continue
			}
			if got, known := c.came(pts, 0); got != i || !known || c.missing != lost {
				t.Fatalf("seed %d: frame %d is numbered %d, with %d missing of %d", seed, i, got, c.missing, lost)
			}
		}
	}
}

// TestCounterAfterSeek numbers frames from a key packet on, with two shown before it.
func TestCounterAfterSeek(t *testing.T) {
	for _, landing := range []landing{{number: 40, key: 420}, {number: 42, key: 420, byTime: true}} {
		var c counter
		c.from(landing)
		for _, pts := range []int64{420, 400, 410, 450, 430} {
			c.sent(pts)
		}
		for _, want := range []struct {
			pts    int64
			number int
			known  bool
		}{{410, 41, false}, {420, 42, true}, {430, 43, true}, {450, 44, true}} {
			if got, known := c.came(want.pts, 0); got != want.number || known != want.known {
				t.Errorf("%+v: frame at %d is numbered %d, %v", landing, want.pts, got, known)
			}
		}
		if c.missing != 0 {
			t.Errorf("%d missing: those before the key packet are not", c.missing)
		}
	}
}

// TestCounterWithoutTimes counts as frames come, and passes over what must be missing.
func TestCounterWithoutTimes(t *testing.T) {
	c := counter{inOrder: true}
	c.sent(5)
	c.sent(1)
	for i := range 3 {
		if got, _ := c.came(noTime, 0); got != i {
			t.Errorf("frame %d is numbered %d", i, got)
		}
	}
	if got, _ := c.came(noTime, 7); got != 7 || c.missing != 4 {
		t.Errorf("numbered %d with %d missing", got, c.missing)
	}
}
