package clipping

import (
	"math"

	"stopledger/analyze/robust"
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
	// leastStill is the share of the cells within a field that must stand still: of clipped ones all do
	// but a few, of flat walls half through HEVC and two fifths through DNxHR.
	leastStill curve.Share = 0.8
	// stirred is the temporal variance of a field up to which rounding of the other channels explains it,
	// in (10-bit code)^2.
	stirred = 1e-3
	// fieldScatter and plateauScatter are the codes within which most clipped samples stay of their
	// ceiling: at the edges of fields coding throws them further; under a plateau light is dense.
	fieldScatter   curve.Code = 2.5
	plateauScatter curve.Code = 1.5
)

// constant looks for ceilings where a channel's light stands on one code.
type constant struct{ *channels }

// find takes the level of a channel's fields for its ceiling, where no light goes on above. Where
// coding may repeat what it showed, or there is one frame only, standing still proves nothing: the
// level is then doubted.
func (t constant) find(found *Ceilings) {
	var follows [3]level // fields that another channel must prove
	for channel := range t.histograms {
		l, enough := t.level(channel)
		if enough && t.proves(channel, l) {
			found.set(channel, t.peak(channel, l.code, fieldScatter), t.reading)
			continue
		}
		p, proven := t.plateau(channel)
		if proven {
			found.set(channel, t.peak(channel, p.code, plateauScatter), t.reading)
			continue
		}
		found.Undecided = found.Undecided || l.cells > 0 && t.mayClip(l.code) || p.cells > 0
		if enough && t.follows(channel, l) {
			follows[channel] = l
		}
	}
	for channel, l := range follows {
		if found.Measured && l.cells > 0 {
			found.set(channel, t.peak(channel, l.code, fieldScatter), t.reading)
		}
	}
}

// follows tells whether a level would be believed where another channel is proven to clip: noise is then
// known to show in this clip, so that a channel may fill the frame with its field and leave no light
// under it, and may be stirred a little by rounding where the others go on.
func (t constant) follows(channel int, l level) bool {
	return !t.single && !t.coding.LongGOP && l.quiet <= stirred && t.stillWithin(channel, l)
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
	return noisy >= leastField && curve.Share(still) <= mostStill*curve.Share(all) && t.stillWithin(channel, l)
}

// stillWithin tells whether a level's fields stand still all over, edges left out. Coding irons the
// noise out of a flat bright wall in half of its cells; those between keep some. The cells meant are
// those on the level in which the other channels are as in the fields: over a channel that clips alone
// others go on, and rounding stirs it.
func (t constant) stillWithin(channel int, l level) bool {
	per := t.reading.PerCode()
	var usual [3][]float64
	for _, s := range t.surveys {
		for i, m := range s.Channels[channel] {
			if standsStill(m, per) && !t.mask.Has(i) && oneLevel(m.Mean/per, float64(l.code)) {
				for c := range usual {
					usual[c] = append(usual[c], s.Channels[c][i].Mean/per)
				}
			}
		}
	}
	var at [3]float64
	for c := range usual {
		at[c] = robust.Median(usual[c])
	}
	var all, still int
	for _, s := range t.surveys {
		alike := make([]bool, len(s.Channels[channel]))
		for i := range alike {
			alike[i] = !t.mask.Has(i) && oneLevel(s.Channels[0][i].Mean/per, at[0]) &&
				oneLevel(s.Channels[1][i].Mean/per, at[1]) && oneLevel(s.Channels[2][i].Mean/per, at[2])
		}
		for i, m := range s.Channels[channel] {
			within := alike[i]
			for j := range around(i, s.Grid) {
				within = within && alike[j]
			}
			if within {
				all++
				if standsStill(m, per) {
					still++
				}
			}
		}
	}
	return curve.Share(still) >= leastStill*curve.Share(all)
}

// oneLevel tells whether two codes are one level.
func oneLevel(a, b float64) bool { return math.Abs(a-b) <= 2*float64(sameField) }

// peak returns a level as a channel's ceiling; lossy coding leaves most of its samples within scatter of
// it, rounding alone all within a code.
func (t constant) peak(channel int, code, scatter curve.Code) peak {
	s := t.spectrum(channel, plainReach)
	if !t.coding.Lossy {
		return peak{code: code, from: s.from(int(code*perCode + 0.5)), seen: true}
	}
	return peak{code: code, from: s.balanced(code, scatter), seen: true}
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
		piled := near.under >= leastUnder && pilesUp(near.on, near.under, 4*sameField/(belowField-nearField), pilesBy)
		return l, mine >= mostlyField*around || curve.Share(near.on) >= mostlyOn*around || piled
	}
	return level{}, false
}

func (t constant) crowd(channel int, code curve.Code) (near crowd) {
	for _, s := range t.surveys {
		near.add(s, channel, code, t.reading.PerCode(), t.mask)
	}
	return near
}
