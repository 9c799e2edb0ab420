package clipping

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"stopledger/analyze/cells"
	"stopledger/curve"
)

// Clipped light has neither temporal noise nor shading, whatever its level: all its samples stand on
// one code. Unclipped light has both, even on a flat wall: at the top of a curve a sensor's noise
// is a tenth of a code or more, which moves one sample in twenty from frame to frame. Lossy intra
// coding keeps the difference: a clipped field costs it nothing and comes out exact.
//
// The limits are set on the synthetic camera of decode/synth/footage through FFV1, ProRes, DNxHR
// and HEVC (seeds below 1000), where clipped fields had a temporal variance of 0.000 and unclipped
// ones 0.04 and more.
const (
	// constantTemporal and constantSpatial are the variances, in (10-bit code)^2, up to which the
	// samples of a cell stand on one code.
	constantTemporal = 0.01
	constantSpatial  = 0.05
	// sameField is how far the means of a field's cells may lie apart.
	sameField curve.Code = 0.3
	// noFlicker is the temporal variance of a field up to which not one sample in a few thousand
	// leaves its code: noise of a seventh of a code on a flat surface, whatever its level, shows more.
	noFlicker = 1e-4
	// leastField is the least number of cells of a field, of one pair of frames.
	leastField = 4
	// lightAbove is how far over a field a cell's mean must lie to show that light goes on there, and
	// mostAbove the share of the field's cells that may, from lamps' halos and coding.
	lightAbove    curve.Code  = 2
	mostCellAbove curve.Share = 0.05
	// nearField and mostlyField: of the cells at most nearField under a field, so many belong to it, or
	// they pile up on it over those between nearField and belowField under it. Coding flattens a cell of a
	// slow gradient here and there, its neighbours not.
	nearField   curve.Code  = 3
	mostlyField curve.Share = 0.4
	belowField  curve.Code  = 12
	leastUnder  int         = 8 // cells there that show how dense light is
	// mostlyOn is the share of them whose means must lie on the level where fewer are constant; of a
	// slow gradient two fifths do.
	mostlyOn curve.Share = 0.48
)

// A field is a connected set of cells in which a channel stands on one code.
type field struct {
	code  curve.Code
	cells []int
	quiet float64 // temporal variance, mean of the calmest three quarters of the cells, (10-bit code)^2
}

// fields returns the fields of a channel in one pair of frames: connected components of constant
// cells of one code. Cells of the mask are left out.
func fields(s *cells.Survey, channel int, fileCodes float64, mask cells.Mask) (found []field) {
	all := s.Channels[channel]
	constant := func(i int) bool { return !mask.Has(i) && standsStill(all[i], fileCodes) }
	seen := make([]bool, len(all))
	for start := range all {
		if seen[start] || !constant(start) {
			continue
		}
		seen[start] = true
		set := []int{start}
		for at := 0; at < len(set); at++ {
			for i := range around(set[at], s.Grid) {
				if !seen[i] && constant(i) && math.Abs(all[i].Mean-all[start].Mean) <= float64(sameField)*fileCodes {
					seen[i] = true
					set = append(set, i)
				}
			}
		}
		if len(set) >= leastField {
			found = append(found, field{meanOf(all, set, fileCodes), set, calmest(all, set) / fileCodes / fileCodes})
		}
	}
	return found
}

// standsStill tells whether the samples of a cell stand on one code.
func standsStill(m cells.Moments, fileCodes float64) bool {
	per := fileCodes * fileCodes
	return m.Temporal <= constantTemporal*per && m.Spatial <= constantSpatial*per
}

func meanOf(all []cells.Moments, set []int, fileCodes float64) curve.Code {
	var sum float64
	for _, i := range set {
		sum += all[i].Mean
	}
	return curve.Code(sum / float64(len(set)) / fileCodes)
}

// calmest returns the mean temporal variance of three quarters of a set's cells, those that change
// least: edges and coding stir the others.
func calmest(all []cells.Moments, set []int) float64 {
	values := make([]float64, 0, len(set))
	for _, i := range set {
		values = append(values, all[i].Temporal)
	}
	slices.Sort(values)
	return stat.Mean(values[:max(len(values)*3/4, 1)], nil)
}

// A level is what the fields of a channel at one code come to over the pairs of frames.
type level struct {
	code  curve.Code
	cells int     // over all pairs
	quiet float64 // temporal variance, mean over the fields by their cells
}

// levelsOf gathers fields of one code, the most cells first.
func levelsOf(all []field) (levels []level) {
	for _, f := range all {
		at := slices.IndexFunc(levels, func(l level) bool {
			return math.Abs(float64(l.code-f.code)) <= 2*float64(sameField)
		})
		if at < 0 {
			levels = append(levels, level{f.code, len(f.cells), f.quiet})
			continue
		}
		l := &levels[at]
		n, m := curve.Code(l.cells), curve.Code(len(f.cells))
		l.code = (l.code*n + f.code*m) / (n + m)
		l.quiet = (l.quiet*float64(n) + f.quiet*float64(m)) / float64(n+m)
		l.cells += len(f.cells)
	}
	slices.SortFunc(levels, func(a, b level) int { return b.cells - a.cells })
	return levels
}

// A crowd counts the cells of a channel near a level.
type crowd struct {
	on    int // within sameField of it
	near  int // at most nearField under it, those on it and above included
	under int // from nearField to belowField under it
	above int // light over it, by lightAbove and more, that is not constant
}

// add counts the cells of one pair of frames.
func (c *crowd) add(s *cells.Survey, channel int, code curve.Code, fileCodes float64, mask cells.Mask) {
	for i, m := range s.Channels[channel] {
		over := curve.Code(m.Mean/fileCodes) - code
		if mask.Has(i) || !(over > -belowField) {
			continue
		}
		if over <= -nearField {
			c.under++
			continue
		}
		c.near++
		if math.Abs(float64(over)) <= 2*float64(sameField) {
			c.on++
		}
		if over > lightAbove && !standsStill(m, fileCodes) {
			c.above++
		}
	}
}
