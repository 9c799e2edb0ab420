package placement_test

import (
	"flag"
	"math"
	"testing"

	"stopledger/analyze/placement"
	"stopledger/decode/synth/footage"
)

// trials is how many random scenes are looked at, 100 and more for a full run, from the seed of the
// first on. Limits were set on seeds below 1000.
var (
	trials = flag.Int("trials", 3, "random scenes")
	first  = flag.Uint64("first", 50000, "seed of the first random scene")
)

// What is asked: a correction from something that is no card in under one scene of a hundred, the
// truth of a card in 93 % of the intervals, takes of one card told apart to a fiftieth of a stop.
const (
	mostWrong   = 0.01
	leastInside = 0.93
	takesApart  = 0.02
	rightCard   = 0.1 // stops that a card may be read off its truth and still be the one that was read
)

// A tally counts what is said of random scenes.
type tally struct{ scenes, references, found, sure, inside, wrong int }

// take counts one scene that holds a reference of a kind, "" for none, and tells whether it was found.
func (c *tally) take(s said, holds placement.Method) bool {
	c.scenes++
	right := holds != "" && s.Method == holds && math.Abs(float64(s.Stops-s.truth)) < rightCard
	if holds != "" {
		c.references++
	}
	if right {
		c.found++
		if s.Low <= s.truth && s.truth <= s.High {
			c.inside++
		}
		if !s.Weak {
			c.sure++
		}
	} else if !s.Weak {
		c.wrong++
	}
	return right
}

// TestRandomScenes counts what is said of random scenes with and without a card.
func TestRandomScenes(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	var c tally
	for i := range uint64(*trials) {
		trial := footage.NewTrial(*first+i, width, height, curveNamed(t, "S-Log3"))
		got := look(t, trial.Camera, trial.Shot, 3)
		holds := placement.Method("")
		if trial.Card {
			holds = placement.Card
		}
		found := c.take(got, holds)
		t.Logf("seed %d %s card %v truth %+.2f found %v: %s", *first+i, trial.Kind, trial.Card, float64(got.truth), found,
			got)
	}
	c.judge(t)
}

// TestRandomCharts counts what is said of random scenes with a chart.
func TestRandomCharts(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	var c tally
	for i := range uint64(max(*trials/2, 1)) {
		trial := footage.NewTrial(*first+i, width, height, curveNamed(t, "S-Log3")).WithChart()
		got := look(t, trial.Camera, trial.Shot, 2)
		found := c.take(got, placement.Chart)
		t.Logf("seed %d %s truth %+.2f found %v: %s", *first+i, trial.Kind, float64(got.truth), found, got)
	}
	c.judge(t)
}

// judge wants few wrong answers and intervals that hold.
func (c *tally) judge(t *testing.T) {
	t.Helper()
	t.Logf("%+v", *c)
	if float64(c.wrong) > mostWrong*float64(c.scenes) {
		t.Errorf("wrong and sure in %d of %d scenes", c.wrong, c.scenes)
	}
	if float64(c.inside) < leastInside*float64(c.found) {
		t.Errorf("%d of %d intervals hold the truth", c.inside, c.found)
	}
}

// TestTakesOfOneCard: what is not known of a card itself cancels between takes of it.
func TestTakesOfOneCard(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	for i := range uint64(max(*trials/2, 2)) {
		trial := footage.NewTrial(*first+i, width, height, curveNamed(t, "S-Log3"))
		one := look(t, trial.Camera, trial.Shot, 2)
		trial.Shot.Stops, trial.Shot.Seed = trial.Shot.Stops-1.3, trial.Shot.Seed+7777
		other := look(t, trial.Camera, trial.Shot, 2)
		if one.Method != placement.Card || other.Method != placement.Card || !trial.Card {
			continue
		}
		off := float64(one.Stops - other.Stops - (one.truth - other.truth))
		t.Logf("seed %d: the difference is %.4f stops off", *first+i, off)
		if math.Abs(off) > takesApart {
			t.Errorf("seed %d: takes differ by %.3f stops, in truth by %.3f", *first+i, float64(one.Stops-other.Stops),
				float64(one.truth-other.truth))
		}
	}
}
