package clipping

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
)

// made are channels of one pair of frames of 12 x 8 cells, by a function; noise of 4 code^2 and a
// gradient of two codes a cell where it returns no mean. The first channel's histogram has a peak
// at 900, in which noise collapses.
func made(t *testing.T, of func(channel, col, row int) cells.Moments) constant {
	t.Helper()
	c := &channels{reading: testframes.Reading(t, 10)}
	for i := range c.histograms {
		c.histograms[i] = newHistogram()
	}
	peaked, n := handMade(t, 100, 1e5, 0, 4)
	c.histograms[0], c.samples = peaked.histogram, n
	c.surveys = []*cells.Survey{surveyed(cells.NewGrid(16*12, 16*8), func(channel, col, row int) cells.Moments {
		m := of(channel, col, row)
		if m.Mean == 0 {
			m = cells.Moments{Mean: 400 + 2*float64(row*12+col), Temporal: 4, Spatial: 9}
		}
		return m
	})}
	return constant{c}
}

// sky makes two rows of the first channel stand on 900, in which the others have noise.
func sky(channel, _, row int) (m cells.Moments) {
	switch {
	case row < 2 && channel == 0:
		m.Mean = 900
	case row < 2:
		m = cells.Moments{Mean: 600, Temporal: 4, Spatial: 9}
	}
	return m
}

// TestConstantFieldIsTheCeiling: a field over light with noise is the channel's ceiling, at its own
// code; the other channels have none.
func TestConstantFieldIsTheCeiling(t *testing.T) {
	c := made(t, sky)
	found := newCeilings(c.reading)
	c.find(&found)
	if !found.Measured || math.Abs(float64(found.Channel[0])-900) > 1e-9 || found.Code != found.Channel[0] {
		t.Errorf("%+v, want red to clip at 900", found)
	}
	if found.From[0] < 897 || found.From[0] > 900 {
		t.Errorf("red counts as clipped from %.2f on", float64(found.From[0]))
	}
	if found.known(1) || found.known(2) || found.Undecided {
		t.Errorf("%+v: green and blue do not clip", found)
	}
}

// TestConstantFieldIsDoubted: where standing still proves nothing, it is said that light may clip.
func TestConstantFieldIsDoubted(t *testing.T) {
	for name, set := range map[string]func(*channels){
		"one frame": func(c *channels) { c.single = true },
		"long GOP":  func(c *channels) { c.coding = Coding{Lossy: true, LongGOP: true} },
		"flicker": func(c *channels) {
			for i := range 24 {
				c.surveys[0].Channels[0][i].Temporal = 2e-4
			}
		},
		"no noise below": func(c *channels) {
			for i := 24; i < 96; i++ {
				c.surveys[0].Channels[0][i].Temporal = 0.02
			}
		},
	} {
		c := made(t, sky)
		set(c.channels)
		found := newCeilings(c.reading)
		c.find(&found)
		if found.Measured || !found.Undecided {
			t.Errorf("%s: %+v, want it undecided", name, found)
		}
	}
}

// TestFieldWhereNoCameraClips: a wall that stands still 2.9 stops over grey, code 643 of S-Log3 (published
// formula, technical summary, 2016), is not doubted; 3 stops over, code 651, it is.
func TestFieldWhereNoCameraClips(t *testing.T) {
	for code, want := range map[float64]bool{643: false, 651: true} {
		c := made(t, func(channel, col, row int) cells.Moments {
			m := sky(channel, col, row)
			if m.Mean == 900 {
				m.Mean = code
			} else if m.Mean > 600 {
				m.Mean = 600
			}
			return m
		})
		c.coding = Coding{Lossy: true, LongGOP: true}
		found := newCeilings(c.reading)
		c.find(&found)
		if found.Measured || found.Undecided != want {
			t.Errorf("at %.0f: %+v, want undecided %v", code, found, want)
		}
	}
}

// TestLightGoesOnAboveAField: more than a twentieth of a field's cells of light above it, and it is no
// ceiling but a flat thing in the scene; up to that they are halos.
func TestLightGoesOnAboveAField(t *testing.T) {
	for above, want := range map[int]bool{0: true, 1: true, 2: false, 6: false} {
		c := made(t, func(channel, col, row int) cells.Moments {
			if channel == 0 && row == 3 && col < above {
				return cells.Moments{Mean: 950, Temporal: 1, Spatial: 9}
			}
			return sky(channel, col, row)
		})
		if l, enough := c.level(0); enough != want || want && (l.cells != 24 || l.code != 900) {
			t.Errorf("%d cells above: %+v, enough %v", above, l, enough)
		}
	}
}

// TestFieldAmongItsLike: a field is a ceiling where it is two fifths of what lies near its level, is
// doubted from 0.15 on, and is a flattened part of a gradient below that.
func TestFieldAmongItsLike(t *testing.T) {
	for _, tc := range []struct {
		field         int
		found, enough bool
	}{{4, false, false}, {6, false, false}, {8, true, false}, {18, true, false}, {20, true, true}, {40, true, true}} {
		// Of 48 cells near the level those not of the field lie 0.8 to 2.8 codes under it, with noise.
		c := made(t, func(channel, col, row int) (m cells.Moments) {
			switch i := row*12 + col; {
			case channel != 1 || i >= 48:
			case i < tc.field:
				m.Mean = 850
			default:
				m = cells.Moments{Mean: 847.2 + 2*float64(i%11)/10, Temporal: 1, Spatial: 9}
			}
			return m
		})
		l, enough := c.level(1)
		if l.cells > 0 != tc.found || enough != tc.enough {
			t.Errorf("%d of 48 cells: %+v, enough %v, want found %v, enough %v", tc.field, l, enough, tc.found, tc.enough)
		}
	}
}

// TestFieldPilesUp: where light rises to its ceiling slowly, edges clip in part and fewer cells than two
// fifths are a field; it is one where cells pile up on it all the same, beyond what those well under it
// let expect, and not where as many lie on any code.
func TestFieldPilesUp(t *testing.T) {
	for under, want := range map[int]bool{9: true, 24: true, 78: false} {
		c := made(t, func(channel, col, row int) (m cells.Moments) {
			switch i := row*12 + col; {
			case channel != 1 || i >= 48+under:
			case i < 12:
				m.Mean = 850
			case i < 48:
				m = cells.Moments{Mean: 847.2 + 2*float64(i%11)/10, Temporal: 1, Spatial: 9}
			default:
				m = cells.Moments{Mean: 838.2 + 8.7*float64(i%10)/10, Temporal: 1, Spatial: 9}
			}
			return m
		})
		if l, enough := c.level(1); l.cells != 12 || enough != want {
			t.Errorf("12 cells of a field over %d in nine codes: %+v, enough %v", under, l, enough)
		}
	}
}

// TestDarkFieldsAreBlack: what stands still at the curve's black, or over the end of the codes, is no
// ceiling.
func TestDarkFieldsAreBlack(t *testing.T) {
	black := float64(testframes.Reading(t, 10).CodeOf(0))
	for code, want := range map[float64]bool{64: false, black: false, black + 7: false, 700: true, 1023: false} {
		c := made(t, func(channel, _, row int) (m cells.Moments) {
			if channel == 2 && row < 3 {
				return cells.Moments{Mean: code}
			}
			return cells.Moments{Mean: 20, Temporal: 1, Spatial: 9}
		})
		if l, _ := c.level(2); l.cells > 0 != want {
			t.Errorf("a field at %.0f: %+v", code, l)
		}
	}
}

// TestProves puts what standing still needs on either side of its limits: a tenth of the cells below
// may stand still as well, black, masked ones, and those just under the level left out.
func TestProves(t *testing.T) {
	black := float64(testframes.Reading(t, 10).CodeOf(0))
	still := func(n int, code float64) func(int, int, int) cells.Moments {
		return func(channel, col, row int) (m cells.Moments) {
			if i := row*12 + col; i >= 24 && i < 24+n {
				return cells.Moments{Mean: code}
			}
			return sky(channel, col, row)
		}
	}
	for name, tc := range map[string]struct {
		of   func(int, int, int) cells.Moments
		mask int // cells from the 24th on that are masked
		want bool
	}{
		"noise below":                 {of: still(0, 0), want: true},
		"7 of 72 still":               {of: still(7, 600), want: true},
		"8 of 72 still":               {of: still(8, 600)},
		"8 still in black":            {of: still(8, black+7), want: true},
		"8 still just under":          {of: still(8, 898), want: true},
		"8 still, masked":             {of: still(8, 600), mask: 8, want: true},
		"all but three cells masked":  {of: still(0, 0), mask: 69},
		"all but four cells masked":   {of: still(0, 0), mask: 68, want: true},
		"everything below is as calm": {of: still(72, 600)},
	} {
		c := made(t, tc.of)
		c.mask = make(cells.Mask, 96)
		for i := range tc.mask {
			c.mask[24+i] = true
		}
		if got := c.proves(0, level{code: 900, cells: 24}); got != tc.want {
			t.Errorf("%s: proven %v", name, got)
		}
	}
}

// TestIntervalHoldsItsShare: over random clips of eight groups whose shares scatter normally, the
// interval holds the true share in 95 of 100.
func TestIntervalHoldsItsShare(t *testing.T) {
	const clips, n, truth = 2000, 8, 0.3
	rng := rand.New(rand.NewPCG(5, 5))
	g := cells.NewGrid(64, 64)
	var groups []*counts
	for i := range n {
		groups = append(groups, countsOf(g, i, 4, 0))
	}
	held := 0
	for range clips {
		var shares []Shares
		for range n {
			shares = append(shares, Shares{Any: curve.Share(truth + 0.02*rng.NormFloat64())})
		}
		low, high := interval(groups, shares, mean(groups, shares).Any, g)
		if low <= truth && truth <= high {
			held++
		}
	}
	if off := math.Abs(float64(held)/clips - 0.95); off > 4*math.Sqrt(0.95*0.05/clips) {
		t.Errorf("held in %d of %d clips", held, clips)
	}
}

// TestIntervalWithinTheFrame: no share is below nothing or over all.
func TestIntervalWithinTheFrame(t *testing.T) {
	g := cells.NewGrid(64, 64)
	groups := []*counts{countsOf(g, 0, 1, 0), countsOf(g, 1, 1, 0)}
	shares := []Shares{{Any: 0}, {Any: 1}}
	if low, high := interval(groups, shares, mean(groups, shares).Any, g); low != 0 || high != 1 {
		t.Errorf("from %g to %g, want all that is possible", float64(low), float64(high))
	}
}

// TestFlatWallsAreNotAllStill: coding irons noise out of half the cells of a flat wall. A field whose
// cells do not stand still all over, edges left out, proves nothing.
func TestFlatWallsAreNotAllStill(t *testing.T) {
	for moving, want := range map[int]bool{0: true, 9: true, 10: false, 18: false} {
		n := 0
		c := made(t, func(channel, col, row int) (m cells.Moments) {
			if row > 4 {
				return m
			}
			m.Mean = 900 - 100*float64(channel)
			// The cells within: rows 0 to 3, of which the grid's border is no edge.
			if channel == 0 && row < 3 && n < moving && col%2 == 0 {
				n++
				m.Temporal = 0.05
			}
			return m
		})
		if got := c.stillWithin(0, level{code: 900, cells: 60}); got != want {
			t.Errorf("%d of 48 cells move: still %v", moving, got)
		}
	}
}
