package detect

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

// A drawing is how closely flat areas are drawn: what is steeper than so many standard deviations
// of the noise, and than the least in luma or colour, is no part of them.
type drawing struct{ sigmas, leastLuma, leastColour float64 }

// Flat areas are drawn closely, which keeps soft edges apart, and loosely, which keeps patches whole
// that noise or coding has made rough, colour above all; on the finest level, the dearest, the
// close drawing is a little less so.
var (
	closely = drawing{3, leastSteep, leastSteep}
	loosely = drawing{5, 70, 200}
	once    = drawing{4, leastSteep, leastSteep}
)

func (s *search) run(colour bool) {
	s.cast = castOf(s.levels[len(s.levels)-1], s.tones, s.matrix)
	for i, l := range s.levels {
		noise := roughnessOf(l)
		s.limits = append(s.limits, noise.limits(closely))
		tight := closely
		if i == 0 {
			tight = once
		}
		mask := maskOf(l, noise.limits(tight), noise.limits(loosely))
		tiles := flatMapOf(mask, closeBit, leastPatchArea, 0)
		for _, m := range []*flatMap{tiles, flatMapOf(mask, looseBit, leastPatchArea, 0)} {
			if colour {
				s.charts = append(s.charts, charts(m, i == len(s.levels)-1, s.tones, s.matrix)...)
			}
			s.cards = append(s.cards, s.proposals(m, tiles, noise)...)
		}
		if i > 0 {
			m := flatMapOf(mask, closeBit, leastPatchArea, 1)
			s.cards = append(s.cards, s.proposals(m, tiles, noise)...)
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
