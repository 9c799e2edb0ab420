package placement_test

import (
	"flag"
	"math"
	"testing"

	"stopledger/decode/synth/footage"
)

// trials is how many random scenes are looked at, from the seed of the first on. Limits were set on
// seeds below 1000.
var (
	trials = flag.Int("trials", 6, "random scenes")
	first  = flag.Uint64("first", 50000, "seed of the first random scene")
)

// TestRandomScenes counts what is said of random scenes with and without a card.
func TestRandomScenes(t *testing.T) {
	var cards, found, acted, inside, wrong int
	for i := range uint64(*trials) {
		seed := *first + i
		trial := footage.NewTrial(seed, width, height, curveNamed(t, "S-Log3"))
		got := look(t, trial.Camera, trial.Shot, 3)
		off := math.Abs(float64(got.Stops - got.truth))
		right := trial.Card && got.Method == "card" && off < 0.1
		if trial.Card {
			cards++
		}
		if right {
			found++
			if got.Low <= got.truth && got.truth <= got.High {
				inside++
			}
			if !got.Weak {
				acted++
			}
		}
		if !got.Weak && !right {
			wrong++
		}
		t.Logf("seed %d %s card %v truth %+.2f right %v sure %v: %s", seed, trial.Kind, trial.Card, float64(got.truth), right,
			!got.Weak, got)
	}
	t.Logf("%d scenes, %d with a card: %d found, %d sure, %d in the interval; %d wrong and sure",
		*trials, cards, found, acted, inside, wrong)
}
