package clipping

import (
	"math"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
)

// rising makes smooth cells that rise by half a code each up to 800 in the first channel, 40 codes more and
// less in the others, all of which clip as told; left of the noise is left from 799 on, by channel.
func rising(t *testing.T, clip, left [3]float64) *tops {
	t.Helper()
	x := &tops{channels{reading: testframes.Reading(t, 10), coding: Coding{Lossy: true}}}
	x.surveys = []*cells.Survey{surveyed(cells.NewGrid(16*10, 16*6), func(channel, col, row int) cells.Moments {
		code := 771 + 0.5*float64(row*10+col)
		m := cells.Moments{Temporal: 0.2, Spatial: 1}
		if code > 799 {
			m.Temporal *= left[channel]
		}
		m.Mean = min(code+[3]float64{0, 40, -40}[channel], clip[channel])
		return m
	})}
	return x
}

// TestEndCells: light goes on where luma keeps its noise, whatever coding leaves of the channel's own; not
// where all noise dwindles, nor where the channel clips alone and the others are seen to go on over it, or where the
// smooth cells lie lower than the end.
func TestEndCells(t *testing.T) {
	never, all := [3]float64{2000, 2000, 2000}, [3]float64{1, 1, 1}
	for name, tc := range map[string]struct {
		clip, left [3]float64
		end        float64
		goesOn     bool
		over       float64 // codes
	}{
		"goes on":          {never, all, 800, true, 0},
		"red dwindles":     {never, [3]float64{0.1, 0.8, 1}, 800, true, 0},
		"all dwindle":      {never, [3]float64{0.1, 0.5, 0.1}, 800, false, 0},
		"green clips, too": {[3]float64{798, 838, 2000}, all, 798, true, 0},
		"clips alone":      {[3]float64{798, 2000, 2000}, all, 798, false, 0.75},
		"ends higher":      {never, all, 806, false, 0},
	} {
		e := rising(t, tc.clip, tc.left).endCells(0, curve.Code(tc.end))
		if e.goesOn() != tc.goesOn || math.Abs(e.over()-tc.over) > 0.3 {
			t.Errorf("%s: goes on %v, over %.2f codes; want %v, %.2f", name, e.goesOn(), e.over(), tc.goesOn, tc.over)
		}
	}
}
