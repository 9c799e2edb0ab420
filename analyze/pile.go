package analyze

import (
	"math"

	"stopledger/curve"
)

// The ceiling is looked for in the top of each channel's histogram. Clipped light piles up on
// one code whatever its real brightness, and nothing lies above but ringing; it does not flicker
// with noise. Unclipped light, even a flat bright wall, spreads by its noise and shading. How
// sharp a pile-up must be depends on whether noise can be seen to collapse in it. All widths are
// in 10-bit codes; the limits are common practice, no source, tried on the synthetic camera.
const (
	perCode = 4 // bins of the histogram to one 10-bit code

	pileHalf      = 1    // a pile-up reaches this far either side: rounding of Y', Cb and Cr moves a channel by about a code
	pileBelow     = 12   // codes below a pile-up over which the ordinary density is taken
	pileLeast     = 1e-4 // least share of samples: fifty of a 1080p 4:2:0 frame
	wellPopulated = 200  // samples that tell a level's noise
	overshoot     = 24   // how far coding may throw samples above the ceiling
	sharpSeen     = 2.5  // density in a pile-up / ordinary, where noise collapses in it
	sharpUnseen   = 3.0  // the same, where noise is too small to tell
	codedSharper  = 1.6  // so many times sharper after lossy coding, which flattens slow shading
	mostLeft      = 0.25 // of the temporal variance just below may be left in a pile-up
	unseen        = 0.03 // temporal variance in code^2 that rounding hides
	showing       = 0.08 // variance that moves samples wherever between two codes their mean lies
	mostAbove     = 0.2  // of a pile-up's samples may lie above it
)

// top10 is a channel of pairs of frames, by bins of perCode to a 10-bit code.
type top10 struct {
	reading curve.Reading
	half    int       // codes that a pile-up reaches either side
	count   []float64 // samples
	// Change is gathered by the mean of a pair, which does not depend on its difference: samples
	// that lie far out by chance change more than others.
	pairs  []float64
	change []float64 // squared difference of a pair, summed, (10-bit code)^2
}

func newTop10(r curve.Reading) top10 {
	// Mixing channels from filtered chroma throws samples beyond the last code.
	const bins = (1024 + 2*overshoot) * perCode
	return top10{r, pileHalf, make([]float64, bins), make([]float64, bins), make([]float64, bins)}
}

// file returns the file code of a bin.
func (t top10) file(at int) float64 {
	return float64(at) / perCode * math.Exp2(float64(t.reading.Bits)-10)
}

// A pile is a pile-up.
type pile struct {
	code  float64 // its centre
	from  float64 // code from which samples count as clipped
	seen  bool    // noise is seen to collapse in it
	sharp float64 // density / ordinary
}

// findPile looks for a pile-up at the top of a channel. rounding is the variance in code^2 that
// rounding alone gives a sample.
func findPile(t top10, samples, rounding float64) (pile, bool) {
	at, sharp := t.sharpest(samples, pileLeast)
	collapsed, seen := t.collapse(at, rounding)
	above := window(t.count, at+(t.half+overshoot/2)*perCode+1, overshoot/2*perCode)
	if !collapsed || sharp < sharpEnough(seen) || above > mostAbove*window(t.count, at, t.half*perCode) {
		return pile{}, false
	}
	return pile{t.centre(at), t.from(at), seen, sharp}, true
}

// sharpEnough returns how dense a pile-up must be.
func sharpEnough(seen bool) float64 {
	if seen {
		return sharpSeen
	}
	return sharpUnseen
}

// sharpest returns the bin of the pile-up and its density as a multiple of the ordinary, 0 where
// less than a share of all samples piles up.
func (t top10) sharpest(samples, least float64) (at int, sharp float64) {
	at, excess := t.densest(t.top(samples))
	if excess < max(samples*least, 12) {
		return at, 0
	}
	return at, window(t.count, at, t.half*perCode) / float64(2*t.half*perCode+1) / max(t.ordinary(at), 1e-9)
}

// collapse tells whether samples in a pile-up hold still, and whether that says anything: whether
// noise as it is just below could be seen there.
func (t top10) collapse(at int, rounding float64) (collapsed, seen bool) {
	here, there, below := t.noise(at, rounding)
	least, likely := t.carry(there, below, at)
	switch {
	case here <= unseen && likely >= showing: // not even rounding moves them: all channels clip
		return true, true
	case likely >= max(unseen/mostLeft, rounding):
		return here-rounding <= max(mostLeft*least, unseen), true
	}
	return here-rounding <= unseen, false
}

// top returns the highest bin that matters: a few samples above everything are dead pixels.
func (t top10) top(samples float64) int {
	var tail float64
	for at := len(t.count) - 1; at > 0; at-- {
		if tail += t.count[at]; tail > samples*pileLeast/20 && tail >= 3 {
			return at
		}
	}
	return 0
}

// densest returns the bin within reach of the top around which most samples lie in excess of
// the ordinary density below.
func (t top10) densest(top int) (at int, excess float64) {
	for i := top; i >= max(top-overshoot*perCode, (t.half+pileBelow+2)*perCode); i-- {
		e := window(t.count, i, t.half*perCode) - t.ordinary(i)*float64(2*t.half*perCode+1)
		if e > excess {
			at, excess = i, e
		}
	}
	return at, excess
}

// ordinary returns the mean samples in a bin over pileBelow codes below the pile-up at a bin.
func (t top10) ordinary(at int) float64 {
	half := pileBelow * perCode / 2
	return window(t.count, at-(t.half+1)*perCode-half, half) / float64(2*half+1)
}

// noise returns the temporal variance in the pile-up and, less what rounding gives, in the nearest
// well populated codes below, and where those are.
func (t top10) noise(at int, rounding float64) (here, there float64, below int) {
	// A sample's difference has twice the variance of its noise.
	here = window(t.change, at, t.half*perCode) / max(window(t.pairs, at, t.half*perCode), 1) / 2
	half := pileBelow * perCode / 2
	for below = at - (t.half+1)*perCode - half; below > half; below -= half {
		if n := window(t.pairs, below, half); n >= wellPopulated {
			return here, window(t.change, below, half)/n/2 - rounding, below
		}
	}
	return here, 0, at
}

// carry takes the variance at a bin to a brighter one, if nothing clips there: in light it stays as
// it is at least and grows with the light as a rule, in codes the curve's slope makes it smaller.
func (t top10) carry(variance float64, from, to int) (least, likely float64) {
	r := t.reading
	least = variance * math.Pow(r.LinearPerCode(t.file(from))/r.LinearPerCode(t.file(to)), 2)
	return least, least * max(r.Linear(t.file(to))/r.Linear(t.file(from)), 1)
}

// centre returns the mean code of the pile-up around a bin.
func (t top10) centre(at int) float64 {
	var sum, moment float64
	for i := at - t.half*perCode; i <= min(at+t.half*perCode, len(t.count)-1); i++ {
		n := max(t.count[i]-t.ordinary(at), 0)
		sum += n
		moment += n * float64(i)
	}
	return moment / sum / perCode
}

// from returns the code from which as many samples lie as are clipped: all from well below the
// pile-up, less what the ordinary density puts there. Near samples that are counted and clipped
// ones that rounding or coding moves below then balance.
func (t top10) from(at int) float64 {
	low := at - 2*t.half*perCode
	var all float64
	for i := low; i < len(t.count); i++ {
		all += t.count[i]
	}
	// Unclipped light up to half a code below rounds onto the pile-up itself, on the average.
	clipped := all - t.ordinary(at)*(float64(at-low)+perCode/2)
	var sum float64
	for i := len(t.count) - 1; i >= low; i-- {
		if sum += t.count[i]; sum >= clipped {
			return (float64(i) - 0.5) / perCode
		}
	}
	return float64(low) / perCode
}

// window sums over at-half .. at+half, as far as there are bins.
func window(v []float64, at, half int) float64 {
	var sum float64
	for i := max(at-half, 0); i <= min(at+half, len(v)-1); i++ {
		sum += v[i]
	}
	return sum
}
