package clipping

import (
	"math"

	"gonum.org/v1/gonum/floats"

	"stopledger/curve"
)

// The ceiling is looked for in the top of each channel's histogram. Clipped light makes a peak on
// one code whatever its real brightness, and nothing lies above but ringing; it does not flicker
// with noise. Unclipped light, even a flat bright wall, spreads by its noise and shading. How
// sharp a peak must be depends on whether noise can be seen to collapse in it. All widths are in
// 10-bit codes; the limits are common practice, no source, tried on the synthetic camera.
const (
	plainReach  = 1    // codes a peak reaches either side: rounding of Y', Cb and Cr moves a channel by about one
	peakBelow   = 12   // codes below a peak over which the ordinary density is taken
	peakLeast   = 1e-4 // least share of samples: fifty of a 1080p 4:2:0 frame
	sharpSeen   = 2.5  // density in a peak / ordinary, where noise collapses in it
	sharpUnseen = 3.0  // the same, where noise is too small to tell
	mostAbove   = 0.2  // of a peak's samples may lie above it

	underneath curve.Code = 4 // codes below a ceiling's scatter over which the density of light is taken
)

// A peak is a histogram peak.
type peak struct {
	code  curve.Code // its centre
	from  curve.Code // code from which samples count as clipped
	seen  bool       // noise is seen to collapse in it
	sharp float64    // density / ordinary
}

// A spectrum is a channel's histogram as it is searched for a peak.
type spectrum struct {
	histogram
	reading  curve.Reading
	reach    int     // codes that a peak reaches either side
	rounding float64 // variance in code^2 that rounding alone gives a sample
}

// peak looks for a peak at the top of the channel that is enough by itself.
func (s spectrum) peak(samples float64) (peak, bool) {
	at, sharp := s.sharpest(samples, peakLeast)
	collapsed, seen := s.collapse(at)
	above := window(s.count, at+(s.reach+overshoot/2)*perCode+1, overshoot/2*perCode)
	if !collapsed || sharp < sharpEnough(seen) || above > mostAbove*s.within(s.count, at) {
		return peak{}, false
	}
	return peak{s.centre(at), s.from(at), seen, sharp}, true
}

// sharpEnough returns how dense a peak must be.
func sharpEnough(seen bool) float64 {
	if seen {
		return sharpSeen
	}
	return sharpUnseen
}

// sharpest returns the bin of the peak and its density as a multiple of the ordinary, 0 where
// less than a share of all samples piles up.
func (s spectrum) sharpest(samples, least float64) (at int, sharp float64) {
	at, excess := s.densest(s.top(samples))
	if excess < max(samples*least, 12) {
		return at, 0
	}
	return at, s.within(s.count, at) / s.width() / max(s.ordinary(at), 1e-9)
}

// within sums a column of the histogram over a peak's bins.
func (s spectrum) within(column []float64, at int) float64 {
	return window(column, at, s.reach*perCode)
}

// width is the number of a peak's bins.
func (s spectrum) width() float64 { return float64(2*s.reach*perCode + 1) }

// top returns the highest bin that matters: a few samples above everything are dead pixels.
func (s spectrum) top(samples float64) int {
	var tail float64
	for at := len(s.count) - 1; at > 0; at-- {
		if tail += s.count[at]; tail > samples*peakLeast/20 && tail >= 3 {
			return at
		}
	}
	return 0
}

// densest returns the bin within reach of the top around which most samples lie in excess of
// the ordinary density below.
func (s spectrum) densest(top int) (at int, excess float64) {
	for i := top; i >= max(top-overshoot*perCode, (s.reach+peakBelow+2)*perCode); i-- {
		e := s.within(s.count, i) - s.ordinary(i)*s.width()
		if e > excess {
			at, excess = i, e
		}
	}
	return at, excess
}

// ordinary returns the mean samples in a bin over peakBelow codes below the peak at a bin.
func (s spectrum) ordinary(at int) float64 {
	const half = peakBelow * perCode / 2
	return window(s.count, at-(s.reach+1)*perCode-half, half) / float64(2*half+1)
}

// centre returns the mean code of the peak around a bin.
func (s spectrum) centre(at int) curve.Code {
	var sum, moment float64
	for i := at - s.reach*perCode; i <= min(at+s.reach*perCode, len(s.count)-1); i++ {
		n := max(s.count[i]-s.ordinary(at), 0)
		sum += n
		moment += n * float64(i)
	}
	return codeOf(moment / sum)
}

// from returns the code from which as many samples lie as are clipped: all from well below the
// peak, less what the ordinary density puts there. Near samples that are counted and clipped
// ones that rounding or coding moves below then balance.
func (s spectrum) from(at int) curve.Code {
	low := at - 2*s.reach*perCode
	var all float64
	for i := low; i < len(s.count); i++ {
		all += s.count[i]
	}
	// Unclipped light up to half a code below rounds onto the peak itself, on the average.
	clipped := all - s.ordinary(at)*(float64(at-low)+perCode/2)
	var sum float64
	for i := len(s.count) - 1; i >= low; i-- {
		if sum += s.count[i]; sum >= clipped {
			return codeOf(float64(i) - 0.5)
		}
	}
	return codeOf(float64(low))
}

// balanced returns the code from which as many samples lie as are clipped at a code that is known
// well. Coding and rounding throw clipped samples either side alike, and nothing else lies well above:
// those that fall further than scatter below it are as many as those above. Of the light just under
// it, taken to be as dense as a little lower, what lies within half a code is recorded as the ceiling.
func (s spectrum) balanced(code, scatter curve.Code) curve.Code {
	bin := func(c curve.Code) int { return int(math.Ceil(float64(c * perCode))) }
	count := func(from, to int) float64 { return floats.Sum(s.count[max(from, 0):min(to, len(s.count))]) }
	low, high := bin(code-scatter), bin(code+scatter)
	under := count(bin(code-scatter-underneath), low) / float64(underneath)
	clipped := count(low, high) + 2*count(high, len(s.count)) - under*float64(scatter-0.5)
	var sum float64
	for i := len(s.count) - 1; i >= low; i-- {
		if sum += s.count[i]; sum >= clipped {
			return codeOf(float64(i) - 0.5)
		}
	}
	return codeOf(float64(low) - 0.5)
}
