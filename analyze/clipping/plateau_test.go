package clipping

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/curve"
)

// alone makes sixteen cells of the first channel lie on 900 with noise, over which the second goes on
// by so many codes in all.
func alone(goes float64) func(int, int, int) cells.Moments {
	return func(channel, col, row int) (m cells.Moments) {
		i := row*12 + col
		if i >= 16 {
			return m
		}
		m = cells.Moments{Temporal: 1, Spatial: 9}
		switch channel {
		case 0:
			m.Mean = 900 + 0.1*float64(i%3)
		case 1:
			m.Mean = 940 + goes*float64(i)/15
		default:
			m.Mean = 880
		}
		return m
	}
}

// TestPlateau: a channel that stays on a level while another goes on far over it clips alone; where
// the other goes on a little, and neither a bend nor an end of noise is seen, it is doubted; over a
// grey wall nothing goes on.
func TestPlateau(t *testing.T) {
	for goes, want := range map[float64]struct{ found, proven bool }{
		60: {true, true}, 12: {true, true}, 6: {true, false}, 2: {false, false},
	} {
		c := made(t, alone(goes))
		c.coding.Lossy = true // its noise says nothing
		l, proven := c.plateau(0)
		if l.cells > 0 != want.found || proven != want.proven || want.found && math.Abs(float64(l.code)-900.1) > 0.2 {
			t.Errorf("another goes on by %g codes: %+v, proven %v", goes, l, proven)
		}
		found := newCeilings(c.reading)
		c.find(&found)
		if found.known(0) != want.proven || found.Undecided != (want.found && !want.proven) {
			t.Errorf("another goes on by %g codes: %+v", goes, found)
		}
	}
}

// bent are cells under 900 over which another channel rises with a slope, and cells on it over which
// the other goes on by so many codes; the other is off by as many codes at random.
func bent(slope, goes, off float64) (on, below []cellLevel) {
	rng := rand.New(rand.NewPCG(1, 2))
	for i := range 12 {
		own := -10 + 0.75*float64(i)
		other := curve.Code(800 + slope*own + off*rng.NormFloat64())
		below = append(below, cellLevel{own: curve.Code(900 + own), other: other})
		on = append(on, cellLevel{own: 900, other: curve.Code(800 + goes*float64(i)/11)})
	}
	return on, below
}

// TestBends: two channels that rise together bend where only one goes on; things of several colours
// are no line, and a plateau over which the other goes on as far as both would is none.
func TestBends(t *testing.T) {
	for name, tc := range map[string]struct {
		slope, goes, off float64
		want             bool
	}{
		"bend": {1, 5, 0.2, true}, "goes on too little": {1, 2, 0.2, false}, "steep": {2, 5, 0.2, false},
		"steep and far": {2, 8, 0.2, true}, "colours": {1, 5, 6, false}, "falls": {-1, 5, 0.2, false},
	} {
		on, below := bent(tc.slope, tc.goes, tc.off)
		if got := bends(on, below, 900); got != tc.want {
			t.Errorf("%s: bends %v", name, got)
		}
		if bends(on, below[:7], 900) {
			t.Errorf("%s: seven cells make a line", name)
		}
	}
}

// TestQuietens: noise ends on a plateau where a quarter of it is left, rounding taken off both; what
// lossy coding leaves proves nothing, nor does noise too small to follow.
func TestQuietens(t *testing.T) {
	of := func(temporal float64) (all []cellLevel) {
		for range 9 {
			all = append(all, cellLevel{own: 900, temporal: temporal})
		}
		return all
	}
	for name, tc := range map[string]struct {
		here, there float64
		lossy, want bool
	}{
		"ends": {0.1, 0.3, false, true}, "goes on": {0.2, 0.3, false, false}, "coded": {0.1, 0.3, true, false},
		"small": {0.08, 0.13, false, false},
	} {
		c := made(t, alone(6))
		c.coding.Lossy, c.rounding = tc.lossy, [3]float64{0.06, 0.06, 0.06}
		if got := c.quietens(0, of(tc.here), of(tc.there), 900); got != tc.want {
			t.Errorf("%s: quietens %v", name, got)
		}
	}
}

// TestCrowded: eight cells crowd on a level if hardly any lie above.
func TestCrowded(t *testing.T) {
	for name, tc := range map[string]struct {
		on, above int
		want      bool
	}{
		"eight": {8, 0, true}, "seven": {7, 0, false}, "one of forty above": {40, 2, true}, "more above": {40, 3, false},
	} {
		var all []curve.Code
		add := func(n int, from, step float64) {
			for i := range n {
				all = append(all, curve.Code(from+step*float64(i)))
			}
		}
		add(30, 300, 7)
		add(tc.on, 900, 0.001)
		add(tc.above, 910, 30)
		code, most := crowded(all)
		if most > 0 != tc.want || most > 0 && (most != tc.on || math.Abs(float64(code)-900) > 0.6) {
			t.Errorf("%s: %d cells at %.2f", name, most, float64(code))
		}
	}
	if _, most := crowded(nil); most != 0 {
		t.Error("no cells crowd")
	}
}

// TestReach: from the tenth to the ninetieth percentile: of sixteen ordered values the second to the
// fifteenth.
func TestReach(t *testing.T) {
	var all []cellLevel
	for i := range 16 {
		all = append(all, cellLevel{own: curve.Code(3 * (i * 7 % 16))})
	}
	if got := reach(all, func(c cellLevel) curve.Code { return c.own }); got != 39 {
		t.Errorf("a reach of %g, want 39", float64(got))
	}
}

// TestLevelsInOrder: cells of all pairs that are wanted, in 10-bit codes, lowest first; masked ones
// left out.
func TestLevelsInOrder(t *testing.T) {
	c := made(t, alone(60))
	c.reading.Bits = 12
	c.mask = make(cells.Mask, 96)
	c.mask[5] = true
	all := c.levels(0, 1, func(m cells.Moments) bool { return m.Mean > 800 })
	if len(all) != 15 {
		t.Fatalf("%d cells, want 15", len(all))
	}
	for i, l := range all {
		if i > 0 && l.own < all[i-1].own || l.own < 225 || l.own > 225.1 || l.other < 235 || l.temporal != 1.0/16 {
			t.Errorf("cell %d: %+v", i, l)
		}
	}
}
