package clipping

import (
	"stopledger/analyze/cells"
	"stopledger/curve"
)

// A soft shoulder bends light before it ends, so that noise shrinks towards the top much faster than
// the curve's slope tells: under a hard ceiling it is there as sigma^2 = read^2 + shot L makes it. Both
// are compared in smooth cells only, because the cells at a field's edge clip in part. Over footage of
// the synthetic camera (decode/synth/footage, seeds below 1000) at least 0.72 of the least variance was
// left under hard ceilings, and 0.16 or less under shoulders.
const (
	bentFrom, bentTo curve.Code = 14, 1.5 // codes below the ceiling over which noise is looked at
	farFrom, farTo   curve.Code = 100, 20 // and over which it is compared
	smoothest        float64    = 4       // spatial variance, in code^2, up to which a cell is smooth
	fewSmooth                   = 6       // cells
	mostBent                    = 0.5     // of the least variance may be left where the recording rolls off
	leastFar                    = 0.05    // variance, in code^2, that can be followed
)

// rollsOff tells whether a channel's recording rolls off below a level.
func (t *tops) rollsOff(channel int, top curve.Code) bool {
	smooth := t.smooth(channel)
	near, far := between(smooth, top-bentFrom, top-bentTo), between(smooth, top-farFrom, top-farTo)
	if len(near) < fewSmooth || len(far) < fewSmooth {
		return false
	}
	s := t.spectrum(channel, plainReach)
	bin := func(all []cellLevel) int { return int(all[len(all)/2].own * perCode) }
	least, _ := s.carry(middleNoise(far)-s.rounding, bin(far), bin(near))
	return least >= max(leastFar, s.rounding) && middleNoise(near)-s.rounding <= mostBent*least
}

// smooth returns the smooth cells of a channel, in order of level.
func (t *tops) smooth(channel int) []cellLevel {
	return constant{&t.channels}.levels(channel, channel, func(m cells.Moments) bool {
		return m.Spatial <= smoothest*t.reading.PerCode()*t.reading.PerCode()
	})
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
		if !t.rollsOff(i, top) {
			continue
		}
		if !found.Measured && !found.Shoulder {
			found.Code = t.reading.FileCode(top)
		}
		found.Shoulder = true
	}
}
