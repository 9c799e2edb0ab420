package find

import (
	"slices"

	"stopledger/curve"
)

// A search is the state of one frame's search.
type search struct {
	levels []*level
	limits []steepness // of each level, close
	tones  toneTable
	matrix curve.Matrix
	cast   colourCast
	charts []chartView
	cards  []proposal
}

// Flat areas are drawn closely, which keeps soft edges apart, and loosely, which keeps noisy
// patches whole; on the finest level, the dearest, once in between.
var (
	finestSigmas = []float64{4}
	flatSigmas   = []float64{3, 5}
)

func (s *search) run(colour bool) {
	s.cast = castOf(s.levels[len(s.levels)-1], s.tones, s.matrix)
	for i, l := range s.levels {
		one := roughnessOf(l)
		s.limits = append(s.limits, one.times(flatSigmas[0]))
		sigmas := flatSigmas
		if i == 0 {
			sigmas = finestSigmas
		}
		var tiles *flatMap
		for _, k := range sigmas {
			m := flatMapOf(l, one.times(k), leastPatchArea, 0)
			if tiles == nil {
				tiles = m
			}
			if colour {
				s.charts = append(s.charts, charts(m, i == len(s.levels)-1, s.tones, s.matrix)...)
			}
			s.cards = append(s.cards, s.proposals(m, tiles, one)...)
		}
		if i > 0 {
			m := flatMapOf(l, s.limits[i], leastPatchArea, 1)
			s.cards = append(s.cards, s.proposals(m, tiles, one)...)
		}
	}
	if colour && len(s.levels) > 1 && !s.sureOfChart() {
		for _, c := range charts(spotsOf(s.levels[0], s.levels[1], s.tones), false, s.tones, s.matrix) {
			c.spots = true
			s.charts = append(s.charts, c)
		}
	}
}

// sureOfChart reports whether a chart was seen by its flat patches, well enough not to look for
// smaller ones.
func (s *search) sureOfChart() bool {
	const sure = 0.9
	return slices.ContainsFunc(s.charts, func(c chartView) bool { return c.confidence() >= sure && c.nodes >= 18 })
}
