package clipping

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"stopledger/analyze/cells"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// White balance after the clip makes one channel clip while the others go on. It then stays on a
// plateau over which another channel spreads, and below which the two rise together: that bend is
// seen through any codec, as means of cells are. The limits were set on the synthetic camera of
// decode/synth/footage (seeds below 1000).
const (
	leastPlateau int        = 8   // cells
	onPlateau    curve.Code = 0.6 // how far its cells' means lie from it
	goesOn       curve.Code = 3   // codes over which another channel spreads, at the least
	goesFurther  curve.Code = 4   // and how many times as far as the channel itself
	// Over a plateau with few cells just under it, a window's or a sky's that is clipped all over, another
	// channel goes much further.
	goesFar     curve.Code = 8
	goesFarther curve.Code = 16
	outnumbers             = 3.0
	// Within belowBend codes under the plateau the channels must rise together but for bendOff, the
	// median deviation from a line.
	belowBend curve.Code = 12
	bendOff   float64    = 0.6
	// mostKept is the part of the noise as it is just below that may be left on a plateau without a
	// bend to see, and leastKept the variance there, in code^2, from which it can be compared.
	mostKept  = 0.25
	leastKept = 0.08
)

// A cellLevel is one cell of a pair of frames: the level of the channel that is looked at, of
// another, and the channel's temporal variance, in 10-bit codes.
type cellLevel struct {
	own, other curve.Code
	temporal   float64
}

// plateau returns the highest level at which a channel's cells crowd while another channel goes on
// over them, with how many they are, and whether it is proven that the channel clips there.
func (t constant) plateau(channel int) (l level, proven bool) {
	code, most := crowded(t.codes(channel))
	if most == 0 || !t.mayClip(code) {
		return l, false
	}
	per := t.reading.PerCode()
	near := func(m cells.Moments) bool {
		own := curve.Code(m.Mean / per)
		return own > code-1-max(belowBend, nearField+onPlateau) && own < code+onPlateau
	}
	for other := range t.histograms {
		if other == channel {
			continue
		}
		all := t.levels(channel, other, near)
		on := between(all, code-onPlateau, code+onPlateau)
		own := reach(on, func(c cellLevel) curve.Code { return c.own })
		goes := reach(on, func(c cellLevel) curve.Code { return c.other })
		if goes < max(goesOn, goesFurther*own) {
			continue
		}
		under := between(all, code-nearField-onPlateau, code-onPlateau)
		const width = 2 * onPlateau / nearField
		if !pilesUp(len(on), len(under), width, mayPileBy) {
			continue
		}
		l = level{code: topOf(on), cells: most}
		if !t.noisy() || !pilesUp(len(on), len(under), width, pilesBy) {
			continue // graphics: where nothing has noise, standing still proves nothing
		}
		if goes >= max(goesFar, goesFarther*own) && outnumber(on, under) {
			return l, true
		}
		below := between(all, code-belowBend, code-1)
		if bends(on, below, l.code) || t.quietens(channel, on, below, l.code) {
			return l, true
		}
	}
	return l, false
}

// noisy tells whether any channel of the clip is seen to have noise.
func (t constant) noisy() bool {
	per := t.reading.PerCode()
	n := 0
	for _, s := range t.surveys {
		for _, all := range s.Channels {
			for i, m := range all {
				if m.Temporal >= leastNoise*per*per && !t.mask.Has(i) {
					n++
				}
			}
		}
	}
	return n >= leastField
}

// outnumber tells whether the cells on a plateau are several times those just under it.
func outnumber(on, under []cellLevel) bool { return float64(len(on)) >= outnumbers*float64(len(under)) }

// codes returns a channel's levels in the cells of all pairs of frames, in order.
func (t constant) codes(channel int) (all []curve.Code) {
	per := t.reading.PerCode()
	for _, s := range t.surveys {
		for i, m := range s.Channels[channel] {
			if curve.Finite(m.Mean) && !t.mask.Has(i) {
				all = append(all, curve.Code(m.Mean/per))
			}
		}
	}
	slices.Sort(all)
	return all
}

// levels returns the cells of all pairs of frames of which a channel's moments are wanted, in order of
// that channel.
func (t constant) levels(channel, other int, wanted func(cells.Moments) bool) (all []cellLevel) {
	per := t.reading.PerCode()
	for _, s := range t.surveys {
		for i, m := range s.Channels[channel] {
			if curve.Finite(m.Mean) && !t.mask.Has(i) && wanted(m) {
				all = append(all, cellLevel{curve.Code(m.Mean / per), curve.Code(s.Channels[other][i].Mean / per),
					m.Temporal / per / per})
			}
		}
	}
	slices.SortFunc(all, func(a, b cellLevel) int { return cmp.Compare(a.own, b.own) })
	return all
}

func anyCell(cells.Moments) bool { return true }

// between returns those of ordered cells whose level lies in a range.
func between(all []cellLevel, low, high curve.Code) []cellLevel {
	at := func(code curve.Code) int {
		i, _ := slices.BinarySearchFunc(all, code, func(c cellLevel, v curve.Code) int { return cmp.Compare(c.own, v) })
		return i
	}
	return all[at(low):max(at(high), at(low))]
}

// crowded returns the level near the top around which most cells lie, hardly any above, and how many
// they are; none where they are few.
func crowded(all []curve.Code) (code curve.Code, most int) {
	low, high, over := 0, 0, 0 // the first codes that reach onPlateau under one, onPlateau over it, and lightAbove over it
	for _, c := range all[max(len(all)-len(all)/4-1, 0):] {
		low, high = reaching(all, low, c-onPlateau), reaching(all, high, c+onPlateau)
		over = reaching(all, over, c+lightAbove)
		on, above := high-low, len(all)-over
		if on > most && curve.Share(above) <= mostCellAbove*curve.Share(on) {
			code, most = c, on
		}
	}
	if most < leastPlateau {
		return 0, 0
	}
	return code, most
}

// reaching returns which of ordered codes is the first to reach a code; those before from do not.
func reaching(all []curve.Code, from int, code curve.Code) int {
	for from < len(all) && all[from] < code {
		from++
	}
	return from
}

// reach returns how far a quantity of cells reaches from its tenth to its ninetieth percentile.
func reach(all []cellLevel, of func(cellLevel) curve.Code) curve.Code {
	values := make([]curve.Code, 0, len(all))
	for _, c := range all {
		values = append(values, of(c))
	}
	slices.Sort(values)
	return values[len(values)*9/10] - values[len(values)/10]
}

// bends tells whether two channels rise together up to a level and only the other goes on beyond.
func bends(on, below []cellLevel, code curve.Code) bool {
	if len(below) < leastPlateau {
		return false
	}
	x, y := make([]float64, len(below)), make([]float64, len(below))
	for i, c := range below {
		x[i], y[i] = float64(c.own-code), float64(c.other)
	}
	offset, slope := stat.LinearRegression(x, y, nil, false)
	for i := range y {
		y[i] = math.Abs(y[i] - offset - slope*x[i])
	}
	over := make([]float64, len(on))
	for i, c := range on {
		over[i] = float64(c.other) - offset
	}
	slices.Sort(over)
	return slope > 0 && robust.Median(y) <= bendOff && curve.Code(over[len(over)*9/10]/slope) >= goesOn
}

// quietens tells whether the channel's noise ends on a plateau.
func (t constant) quietens(channel int, on, below []cellLevel, code curve.Code) bool {
	if t.coding.Lossy {
		return false
	}
	if len(below) >= leastPlateau {
		here, there := middleNoise(on)-t.rounding[channel], middleNoise(below)-t.rounding[channel]
		return there >= leastKept && here <= mostKept*there
	}
	collapsed, _ := t.spectrum(channel, plainReach).collapse(int(code*perCode + 0.5))
	return collapsed
}

func middleNoise(all []cellLevel) float64 {
	values := make([]float64, 0, len(all))
	for _, c := range all {
		values = append(values, c.temporal)
	}
	return robust.Median(values)
}

// topOf returns the level of a plateau from its cells: their upper quartile, because edges and light
// just under the ceiling draw the others down.
func topOf(on []cellLevel) curve.Code { return on[len(on)*3/4].own }
