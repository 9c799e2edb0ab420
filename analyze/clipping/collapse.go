package clipping

import (
	"math"

	"stopledger/curve"
)

// What noise tells. Common practice, no source, tried on the synthetic camera.
const (
	wellPopulated = 200  // samples that tell a level's noise
	mostLeft      = 0.25 // of the temporal variance just below may be left in a peak
	unseen        = 0.03 // temporal variance in code^2 that rounding hides
	showing       = 0.08 // variance that moves samples wherever between two codes their mean lies
)

// collapse tells whether samples in a peak hold still, and whether that says anything: whether
// noise as it is just below could be seen there.
func (s spectrum) collapse(at int) (collapsed, seen bool) {
	here, there, below := s.noise(at)
	least, likely := s.carry(there, below, at)
	switch {
	case here <= unseen && likely >= showing: // not even rounding moves them: all channels clip
		return true, true
	case likely >= max(unseen/mostLeft, s.rounding):
		return here-s.rounding <= max(mostLeft*least, unseen), true
	}
	return here-s.rounding <= unseen, false
}

// noise returns the temporal variance in the peak and, less what rounding gives, in the nearest
// well populated codes below, and where those are. A sample's difference has twice the variance of
// its noise.
func (s spectrum) noise(at int) (here, there float64, below int) {
	here = s.within(s.change, at) / max(s.within(s.pairs, at), 1) / 2
	const half = peakBelow * perCode / 2
	for below = at - (s.reach+1)*perCode - half; below > half; below -= half {
		if n := window(s.pairs, below, half); n >= wellPopulated {
			return here, window(s.change, below, half)/n/2 - s.rounding, below
		}
	}
	return here, 0, at
}

// carry takes the variance at a bin to a brighter one, if nothing clips there: in light it stays as
// it is at least and grows with the light as a rule, in codes the curve's slope makes it smaller.
func (s spectrum) carry(variance float64, from, to int) (least, likely float64) {
	r, dark, bright := s.reading, s.file(from), s.file(to)
	least = variance * math.Pow(r.LightPerCode(dark)/r.LightPerCode(bright), 2)
	return least, least * max(float64(r.Light(bright)/r.Light(dark)), 1)
}

// file returns the file code of a bin.
func (s spectrum) file(at int) curve.FileCode { return s.reading.FileCode(codeOf(float64(at))) }
