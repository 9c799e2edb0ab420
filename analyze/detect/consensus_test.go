package detect

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/curve"
)

// explained counts, over a fine grid of lines, the most neutrals that any line of the slopes allowed
// can hold to within the tolerance: 1 for each, less 1 for a slope other than 1, less 1 for one left
// well below it. A line through patches, as the consensus fit tries them, can hold as many but for
// those at the very edge of the tolerance.
func explained(p *[24]Patch, limits *NeutralParams) float64 {
	best := math.Inf(-1)
	for slope := limits.LeastSlope; slope <= limits.MostSlope; slope += 0.005 {
		for offset := -2.0; offset <= 2; offset += 0.005 {
			score := 0.0
			if math.Abs(slope-1) > 1e-9 {
				score = -1
			}
			below := 0.0
			for i := firstNeutral; i < 24; i++ {
				d := float64(p[i].Measured) - offset - slope*p[i].published()
				if math.Abs(d) <= limits.OffLine/3 {
					score++
				} else if i > firstNeutral && d < -limits.WellBelow {
					below = 1
				}
			}
			best = max(best, score-below)
		}
	}
	return best
}

// TestConsensusFindsTheBestLine: of random neutrals, some of them lifted by glare, the consensus fit
// over pairs holds as many as the best line of a fine grid does with a third of its tolerance.
func TestConsensusFindsTheBestLine(t *testing.T) {
	limits := &defaults.Neutrals
	for seed := range uint64(8) {
		rng := rand.New(rand.NewPCG(seed, 4))
		var p [24]Patch
		slope, offset := 0.9+0.2*rng.Float64(), rng.Float64()-0.5
		for i := range p {
			published := curve.Light(Edition2005.Luminance(i)).Stops()
			measured := offset + slope*float64(published) + 0.01*rng.NormFloat64()
			if rng.IntN(3) == 0 {
				measured += 0.2 + 0.5*rng.Float64()
			}
			p[i] = Patch{Published: published, Measured: curve.Stops(measured)}
		}
		row := neutralRow{&p, 0, limits}
		row.markUsable()
		if got, least := row.agree(), explained(&p, limits); got < least {
			t.Errorf("seed %d: a score of %.0f, the grid finds %.0f", seed, got, least)
		}
		for i := firstNeutral; i < 24; i++ {
			if p[i].Used == (p[i].Why == offLine) {
				t.Errorf("seed %d: neutral %d is used: %v, and %q", seed, i, p[i].Used, p[i].Why)
			}
		}
	}
}

// TestOrdered: neutrals are in order where each is darker than the one before by more than the
// tolerance of a line.
func TestOrdered(t *testing.T) {
	for _, c := range []struct {
		measured [6]curve.Stops
		want     bool
	}{
		{[6]curve.Stops{2, 1, 0, -1, -2, -3}, true},
		{[6]curve.Stops{2, 1, 1.2, -1, -2, -3}, false},
		{[6]curve.Stops{2, 1.95, 0, -1, -2, -3}, false},
		{[6]curve.Stops{2, 1.93, 0, -1, -2, -3}, true},
		{[6]curve.Stops{-3, -2, -1, 0, 1, 2}, false},
	} {
		var p [24]Patch
		var all []int
		for i, v := range c.measured {
			p[firstNeutral+i].Measured = v
			all = append(all, firstNeutral+i)
		}
		if got := (neutralRow{&p, 0, &defaults.Neutrals}).ordered(all); got != c.want {
			t.Errorf("%v: %v", c.measured, got)
		}
	}
}
