package clipping

import (
	"math"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
)

// wedge makes cells from 700 codes up to 799 in every channel, with the noise of a sensor (shot
// noise: in light, variance as the light), of so much variance in code^2 at 700, which light over the
// knee loses with the square of a slope.
func wedge(t *testing.T, variance float64, slope func(code float64) float64) *tops {
	t.Helper()
	r := testframes.Reading(t, 10)
	at := func(code float64) curve.FileCode { return curve.FileCode(code) }
	x := &tops{channels{reading: r}}
	for i := range x.histograms {
		x.histograms[i] = newHistogram()
	}
	x.surveys = []*cells.Survey{surveyed(cells.NewGrid(16*10, 16*10), func(_, col, row int) cells.Moments {
		code := 700 + float64(row*10+col)
		noise := variance * float64(r.Light(at(code))/r.Light(at(700))) *
			math.Pow(r.LightPerCode(at(700))/r.LightPerCode(at(code)), 2) * math.Pow(slope(code), 2)
		return cells.Moments{Mean: code, Temporal: noise, Spatial: 1}
	})}
	return x
}

// TestShoulderByItsNoise: under a hard ceiling noise goes on as a sensor makes it, whatever its size;
// on a shoulder it shrinks; noise too small to follow says nothing, and edges do not count.
func TestShoulderByItsNoise(t *testing.T) {
	hard := func(float64) float64 { return 1 }
	soft := func(code float64) float64 { return math.Exp(-max(code-760, 0) / 20) }
	for name, tc := range map[string]struct {
		variance float64
		slope    func(float64) float64
		edges    bool
		want     bool
	}{
		"hard": {0.3, hard, false, false}, "hard, noisy": {9, hard, false, false}, "soft": {0.3, soft, false, true},
		"soft, noise unseen": {0.01, soft, false, false}, "soft, edges only": {0.3, soft, true, false},
	} {
		x := wedge(t, tc.variance, tc.slope)
		if tc.edges {
			for i := range x.surveys[0].Channels[1] {
				x.surveys[0].Channels[1][i].Spatial = 5
			}
		}
		if got := x.rollsOff(1, 800); got != tc.want {
			t.Errorf("%s: rolls off %v", name, got)
		}
		found := newCeilings(x.reading)
		x.rollOff(&found)
		if tc.want && (!found.Shoulder || found.origin() != Shoulder || found.edge() != Soft ||
			found.Code != x.reading.FileCode(799)) {
			t.Errorf("%s: %+v", name, found)
		}
	}
}

// TestShoulderKeepsAMeasuredCeiling: where a channel is seen to clip, its level stays; where it is from
// is a shoulder, and headroom is not known.
func TestShoulderKeepsAMeasuredCeiling(t *testing.T) {
	x := wedge(t, 0.3, func(code float64) float64 { return math.Exp(-max(code-760, 0) / 20) })
	found := newCeilings(x.reading)
	found.set(1, peak{code: 801, from: 800}, x.reading)
	x.rollOff(&found)
	if !found.Shoulder || found.Code != 801 {
		t.Errorf("%+v, want a shoulder that ends at 801", found)
	}
	a := New(x.reading, found)
	a.groups = []*counts{countsOf(cells.NewGrid(32, 32), 0, 1, 0)}
	a.grid = cells.NewGrid(32, 32)
	r := a.Result(25)
	if r.Ceiling.Origin != Shoulder || r.Each["g"].Origin != Shoulder || curve.Finite(r.Headroom) ||
		!r.Undecided || r.High != 1 {
		t.Errorf("%+v, want a shoulder, no headroom, and doubt while no field clips", r)
	}
}
