package clipping

import (
	"slices"

	"stopledger/curve"
)

const (
	// leastOverBlack is how far over the curve's black a field must lie to be light at all.
	leastOverBlack curve.Code = 8
	// leastDoubt is the share of the cells near a level that must be constant for it to be doubted
	// though not enough for a ceiling.
	leastDoubt curve.Share = 0.15
	// mostStill is the share of the cells under a level that may stand still as well, and leastNoise
	// the temporal variance, in (10-bit code)^2, from which a cell is seen to have noise.
	mostStill  curve.Share = 0.1
	leastNoise float64     = 0.03
	// A plateau is a level that one channel does not leave while another goes on: at least
	// leastPlateau cells within onPlateau of it, over which another channel spreads by goesOn codes
	// or more and by goesFurther times as much as the channel itself, and few cells just under it.
	leastPlateau int        = 8
	onPlateau    curve.Code = 0.6
	goesOn       curve.Code = 3
	goesFurther  curve.Code = 4
	outnumber    float64    = 1.5
)

// constant looks for ceilings where a channel's light stands on one code.
type constant struct{ *channels }

// find takes the level of a channel's fields for its ceiling, where no light goes on above. Where
// coding may repeat what it showed, or there is one frame only, standing still proves nothing: the
// level is then doubted.
func (t constant) find(found *Ceilings) {
	for channel := range t.histograms {
		switch l, enough := t.level(channel); {
		case enough && t.proves(channel, l):
			found.set(channel, t.peak(channel, l.code), t.reading)
		case l.cells > 0:
			found.Undecided = true
		default:
			t.plateau(channel, found)
		}
	}
}

// proves tells whether standing still says anything of a level: coding does not repeat what it
// showed, light under the level is seen to have noise, and hardly any of it, black left out, stands
// still as well.
func (t constant) proves(channel int, l level) bool {
	if t.single || t.coding.LongGOP || l.quiet > noFlicker {
		return false
	}
	per := t.reading.PerCode()
	black := t.reading.Code(t.reading.CodeOf(0)) + leastOverBlack
	var all, still, noisy int
	for _, s := range t.surveys {
		for i, m := range s.Channels[channel] {
			code, noise := curve.Code(m.Mean/per), m.Temporal/per/per
			if t.mask.Has(i) || !(code > black) || code > l.code-nearField {
				continue
			}
			all++
			switch {
			case noise <= constantTemporal:
				still++
			case noise >= leastNoise:
				noisy++
			}
		}
	}
	return noisy >= leastField && curve.Share(still) <= mostStill*curve.Share(all)
}

// peak returns a level as a channel's ceiling, samples just below it counted as far as they balance
// those of the field that rounding and coding moved there.
func (t constant) peak(channel int, code curve.Code) peak {
	s := t.spectrum(channel, t.reach())
	return peak{code: code, from: s.from(int(code*perCode + 0.5)), seen: true}
}

// reach is how many codes samples of a field lie apart: rounding of Y', Cb and Cr moves a channel by
// a code or so, lossy coding by more.
func (t constant) reach() int {
	if t.coding.Lossy {
		return 3
	}
	return plainReach
}

// level returns the level of a channel's fields with the most cells of which no light goes on
// above, and whether they are most of what lies near it; no cells where there is none. Where other
// channels go on over a channel that clips, coding and rounding make its cells a little uneven: then
// those count whose means lie on the level.
func (t constant) level(channel int) (l level, enough bool) {
	per := t.reading.PerCode()
	var all []field
	for _, s := range t.surveys {
		all = append(all, fields(s, channel, per, t.mask)...)
	}
	black := t.reading.Code(t.reading.CodeOf(0))
	for _, l := range levelsOf(all) {
		near := t.crowd(channel, l.code)
		mine, around := curve.Share(l.cells), curve.Share(near.near)
		if l.code < black+leastOverBlack || l.code > t.reading.Code(t.reading.Last())+1 || mine < leastDoubt*around ||
			curve.Share(near.above) > mostCellAbove*mine {
			continue
		}
		return l, mine >= mostlyField*around || curve.Share(near.on) >= mostlyOn*around
	}
	return level{}, false
}

func (t constant) crowd(channel int, code curve.Code) (near crowd) {
	for _, s := range t.surveys {
		near.add(s, channel, code, t.reading.PerCode(), t.mask)
	}
	return near
}

// plateau takes the highest level at which a channel's cells crowd while another channel goes on
// over them: the channel clips alone. Where its noise is not seen to collapse there, it is doubted.
func (t constant) plateau(channel int, found *Ceilings) {
	per := t.reading.PerCode()
	var means []curve.Code
	for _, s := range t.surveys {
		for i, m := range s.Channels[channel] {
			if curve.Finite(m.Mean) && !t.mask.Has(i) {
				means = append(means, curve.Code(m.Mean/per))
			}
		}
	}
	code, ok := crowded(means)
	if own, other := t.spread(channel, code); !ok || other < max(goesOn, goesFurther*own) {
		return
	}
	s := t.spectrum(channel, plainReach)
	if collapsed, _ := s.collapse(int(code*perCode + 0.5)); collapsed {
		found.set(channel, t.peak(channel, code), t.reading)
		return
	}
	found.Undecided = true
}

// crowded returns the level near the top at which cells crowd: more of them than just below, hardly
// any above.
func crowded(means []curve.Code) (code curve.Code, ok bool) {
	if len(means) < leastPlateau {
		return 0, false
	}
	slices.Sort(means)
	between := func(low, high curve.Code) int {
		from, _ := slices.BinarySearch(means, low)
		to, _ := slices.BinarySearch(means, high)
		return to - from
	}
	best := 0
	for _, at := range means[max(len(means)-len(means)/4-1, 0):] {
		on := between(at-onPlateau, at+onPlateau)
		above := len(means) - between(means[0], at+lightAbove)
		below := between(at-nearField-onPlateau, at-onPlateau)
		if on > best && curve.Share(above) <= mostCellAbove*curve.Share(on) && float64(on) >= outnumber*float64(below) {
			best, code = on, at
		}
	}
	return code, best >= leastPlateau
}

// spread returns how far a channel, and whichever other channel spreads most, reach from their tenth
// to their ninetieth percentile over the cells of a plateau.
func (t constant) spread(channel int, code curve.Code) (own, other curve.Code) {
	per := t.reading.PerCode()
	for c := range t.histograms {
		var values []curve.Code
		for _, s := range t.surveys {
			for i, m := range s.Channels[channel] {
				at := curve.Code(m.Mean / per)
				if at > code-onPlateau && at < code+onPlateau && !t.mask.Has(i) {
					values = append(values, curve.Code(s.Channels[c][i].Mean/per))
				}
			}
		}
		if len(values) == 0 {
			continue
		}
		slices.Sort(values)
		reach := values[len(values)*9/10] - values[len(values)/10]
		if c == channel {
			own = reach
		} else {
			other = max(other, reach)
		}
	}
	return own, other
}
