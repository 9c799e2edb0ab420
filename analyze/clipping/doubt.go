package clipping

import (
	"math"

	"gonum.org/v1/gonum/floats"

	"stopledger/analyze/robust"
	"stopledger/curve"
)

// Light that only just clips, or clips in small parts, leaves no field and no plateau. It is doubted
// where it ends abruptly and its noise dwindles at the end: unclipped light tails off, and its noise
// is at the top as it is below. It is doubted, too, where the other channels are seen to go on over it.
// The limits were set on the synthetic camera of decode/synth/footage (seeds below 1000), so that hardly
// any light that clips in a fiftieth of the frame is missed and at most one unclipped clip in ten is
// doubted.
const (
	tailShare       = 0.001 // of the samples may lie above the end
	endWidth        = 3     // codes that the end is wide
	endLeast        = 0.003 // least share of samples in it: less are lamps
	endBelow        = 12    // codes below the end with which it is compared
	abrupt          = 1.3   // density at the end / below from which it is abrupt
	abruptDwindling = 0.85  // of the temporal variance below, rounding included, may be left at an abrupt end
	blunt           = 0.8   // density from which light does not tail off
	bluntDwindling  = 0.6   // of the variance below may be left in the cells at a blunt end
	flat            = 8.0   // density from which a flat field ends there, which its cells judge, or
	farOver         = 8     // codes by which both other channels lie over it: one alone may have clipped
	patchGap        = 3     // codes under a patch of its own in which
	patchUnder      = 0.1   // so many cells may lie, of those on it
	patchKept       = 0.6   // of the variance of darker cells, without rounding, is left in it at the least
	aloneLeast      = 0.01  // least share of samples in the end of a channel that clips alone
)

// doubtful tells whether a channel's light may clip at its end. Where another channel is known to, only a flat
// field that ends it is doubted.
func (t *tops) doubtful(channel int, another bool) bool {
	s := t.spectrum(channel, plainReach)
	at := s.end(t.samples)
	const width, below = endWidth * perCode, endBelow * perCode
	if at < width+below || !t.mayClip(codeOf(float64(at))) {
		return false
	}
	share := floats.Sum(s.count[at-width+1:at+1]) / t.samples
	density := share * t.samples / max(floats.Sum(s.count[at-width-below+1:at-width+1]), 1) * below / width
	switch {
	case share < endLeast:
		return false
	case density > flat:
		return share >= aloneLeast && t.over(channel, codeOf(float64(at))) >= farOver
	case another:
		return false
	}
	end := t.endCells(channel, codeOf(float64(at)))
	here := window(s.change, at-width/2, width/2) / max(window(s.pairs, at-width/2, width/2), 1)
	there := window(s.change, at-width-below/2, below/2) / max(window(s.pairs, at-width-below/2, below/2), 1)
	abruptly := density >= abrupt && here <= abruptDwindling*there && !t.patch(channel, codeOf(float64(at)))
	if abruptly || density >= blunt && t.dwindles(channel) {
		return !t.coding.Lossy || !end.goesOn()
	}
	return share >= aloneLeast && end.over() >= surelyOver
}

// over returns by how many codes both other channels lie over one in the cells at its end: the median.
func (t *tops) over(channel int, end curve.Code) float64 {
	per := t.reading.PerCode()
	var least []float64
	for _, s := range t.surveys {
		for i, m := range s.Channels[channel] {
			if t.mask.Has(i) || !(curve.Code(m.Mean/per) >= end-endWidth) {
				continue
			}
			others := math.Inf(1)
			for c := range s.Channels {
				if c != channel {
					others = min(others, s.Channels[c][i].Mean/per)
				}
			}
			least = append(least, others-m.Mean/per)
		}
	}
	if len(least) < leastField {
		return 0
	}
	return robust.Median(least)
}

// end returns the bin at which a channel's samples end, but for a few.
func (s spectrum) end(samples float64) int {
	var tail float64
	for at := len(s.count) - 1; at > 0; at-- {
		if tail += s.count[at]; tail >= tailShare*samples {
			return at
		}
	}
	return 0
}

// patch tells whether the highest cells are a bright patch of its own, such as a chart's white: it ends
// as abruptly as clipped light does, but keeps its noise, and hardly any light lies just below it. Of a patch
// that lies at the ceiling half of the samples clip, which leaves a third of the variance (the half-normal
// distribution has 1 - 2/pi).
func (t *tops) patch(channel int, end curve.Code) bool {
	on, below := t.topAndBelow(channel)
	if len(on) < fewTop || middleNoise(on) < leastNoise {
		return false
	}
	if len(below) < fewBelow {
		return true
	}
	lowest := on[0].own
	under := between(constant{&t.channels}.levels(channel, channel, anyCell), lowest-patchGap, lowest)
	noise, rounding := middleNoise(on), t.rounding[channel]
	return on[len(on)-1].own >= end-atEnd && float64(len(under)) <= patchUnder*float64(len(on)) &&
		noise >= 2*rounding && noise-rounding >= patchKept*(middleNoise(below)-rounding)
}

// dwindles tells whether the highest cells have much less noise than those below them.
func (t *tops) dwindles(channel int) bool {
	on, below := t.topAndBelow(channel)
	return len(on) >= fewTop && len(below) >= fewBelow && middleNoise(on) <= bluntDwindling*middleNoise(below)
}

// topAndBelow returns the highest cells of a channel, but for a few, and those some codes below them.
func (t *tops) topAndBelow(channel int) (on, below []cellLevel) {
	return ends(constant{&t.channels}.levels(channel, channel, anyCell), func(c cellLevel) curve.Code { return c.own })
}
