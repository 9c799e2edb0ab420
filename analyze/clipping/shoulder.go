package clipping

import (
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// A soft shoulder bends light before it ends, so that noise shrinks towards the top much faster than
// the curve's slope tells: under a hard ceiling sigma^2 = read^2 + shot L holds up to it. Both are compared
// in smooth cells only, because the cells at a field's edge clip in part; how near to the top noise is
// lost, and how far below it light is as it was, depends on the shoulder's length. Over footage of the
// synthetic camera (decode/synth/footage, seeds below 1000) 0.49 of the likely variance and more was left
// under hard ceilings without loss, 0.35 and more through coding that kept any; under shoulders 0 to 0.3.
const (
	bentTo          curve.Code = 1.5  // codes below the top to which noise is looked at
	fewNear, fewFar            = 6, 3 // cells
	mostBent                   = 0.35 // of the likely variance may be left where the recording rolls off
	leastLikely                = 0.02 // likely variance, in code^2, that can be missed
	leastSeen                  = 0.4  // the same, in what rounding gives
	fewCoded                   = 6    // after lossy coding: cells well below,
	mostCoded                  = 0.18 // the share,
	leastCoded                 = 0.1  // and the likely variance
)

// spans are codes below the top, at shoulders of several lengths: noise up to near is compared with that
// from far on, as long as shot noise is most of it.
var spans = []struct{ near, far curve.Code }{{14, 20}, {20, 40}, {30, 90}}

const farthest curve.Code = 200

// rollsOff tells whether a channel's recording rolls off below a level.
func (t *tops) rollsOff(channel int, top curve.Code) bool {
	smooth := t.smooth(channel)
	for _, s := range spans {
		if t.shrinks(channel, between(smooth, top-s.near, top-bentTo), between(smooth, top-farthest, top-s.far)) {
			return true
		}
	}
	return false
}

// shrinks tells whether a channel's noise in cells is much less than that of darker cells makes likely.
func (t *tops) shrinks(channel int, near, far []cellLevel) bool {
	s := t.spectrum(channel, plainReach)
	few, most, least := fewFar, mostBent, max(leastLikely, leastSeen*s.rounding)
	if t.coding.Lossy && !t.coding.Even {
		few, most, least = fewCoded, mostCoded, leastCoded
	}
	if len(near) < fewNear || len(far) < few {
		return false
	}
	bin := func(c cellLevel) int { return int(c.own * perCode) }
	all := make([]float64, 0, len(far))
	for _, c := range far {
		_, likely := s.carry(unrounded(c.temporal, s.rounding), bin(c), bin(near[len(near)/2]))
		all = append(all, likely)
	}
	likely := robust.Median(all)
	return likely >= least && unrounded(middleNoise(near), s.rounding) <= most*likely
}

// smooth returns the smooth cells of a channel, in order of level.
func (t *tops) smooth(channel int) []cellLevel {
	return constant{&t.channels}.levels(channel, channel, t.isSmooth)
}

// rollOff takes a shoulder for the ceiling where a channel rolls off below its ceiling, or below where
// its light ends if none is seen.
func (t *tops) rollOff(found *Ceilings) {
	const green = 1
	for i := range t.histograms {
		if t.coding.Lossy && i != green {
			continue // coding takes most of the noise of R and B, which are far from luma
		}
		top := t.reading.Code(found.Channel[i])
		if !found.known(i) {
			smooth := t.smooth(i)
			if len(smooth) == 0 {
				continue
			}
			top = smooth[len(smooth)-1].own
		}
		if !t.mayClip(top) || !t.rollsOff(i, top) {
			continue
		}
		if !found.Measured && !found.Shoulder {
			found.Code = t.reading.FileCode(top)
		}
		found.Shoulder = true
	}
}
