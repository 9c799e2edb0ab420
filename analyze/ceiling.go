package analyze

import (
	"math"

	"stopledger/curve"
	"stopledger/decode"
)

// A Ceiling is the level at which a recording clips.
type Ceiling struct {
	Code     float64    // file code of the first channel to clip; of the curve's top if none is seen
	Measured bool       // seen as a pile-up, not taken from the curve
	Channel  [3]float64 // file code at which R, G, B clip; NaN where no pile-up is seen
	margin   [3]float64 // file codes below the ceiling that still count as clipped
}

// The ceiling is looked for in the top of each channel's histogram. Clipped light piles up on
// one code whatever its real brightness, and does not flicker with noise; unclipped light, even
// a flat bright wall, spreads by its noise and shading. All widths are on the 10-bit scale.
const (
	// pileHalf is half the width of a pile-up: rounding of Y', Cb and Cr moves a clipped channel
	// by up to about 1.5 codes.
	pileHalf = 2
	// pileBelow is how far below a pile-up the ordinary density is taken.
	pileBelow = 40
	// pileSharp is how much denser than ordinary a pile-up is. Common practice, no source.
	pileSharp = 6
	// pileLeast is the least share of samples in a pile-up: fifty in a 1080p 4:2:0 frame.
	pileLeast = 1e-4
	// collapsed is how much of the temporal variance just below is left in a pile-up. Shot noise
	// alone makes it smaller towards the top, but by no more than a fifth over pileBelow codes.
	collapsed = 0.35
	// unseen is the temporal variance in code^2 under which coding leaves nothing to compare.
	unseen = 0.02
	// overshoot is how far coding may throw samples above the ceiling.
	overshoot = 24
)

// A ceilingFinder gathers the top of each channel over a few pairs of frames. It looks at frames
// before the walk, because samples at the ceiling can only be counted once it is known.
type ceilingFinder struct {
	reading curve.Reading
	chroma  curve.Chroma
	scale   float64      // file codes per 10-bit code
	count   [3][]float64 // samples by 10-bit code
	change  [3][]float64 // squared difference to the other frame, summed, (10-bit code)^2
	samples float64
	before  [3][]float32 // channels of the frame before
	width   int

	rounding [3]float64 // variance that rounding of Y', Cb and Cr leaves in a channel, (10-bit code)^2
}

func newCeilingFinder(r curve.Reading, m curve.Matrix) *ceilingFinder {
	c := &ceilingFinder{reading: r, chroma: r.Chroma(m), scale: math.Exp2(float64(r.Bits) - 10)}
	for i := range c.count {
		c.count[i] = make([]float64, 1024)
		c.change[i] = make([]float64, 1024)
	}
	return c
}

// add takes the next frame; second tells that the frame before it in the clip was added last.
func (c *ceilingFinder) add(f *decode.Frame, second bool) {
	channelRows(f, c.chroma, func(y int, rgb [3][]float32) {
		c.width = len(rgb[0])
		for i, row := range rgb {
			if !second {
				c.before[i] = append(c.before[i][:min(len(c.before[i]), y*c.width)], row...)
				continue
			}
			c.compare(i, row, c.before[i][y*c.width:])
		}
		if second {
			c.samples += float64(c.width)
		}
	})
}

func (c *ceilingFinder) compare(channel int, row, before []float32) {
	scale := float32(1 / c.scale)
	count, change := c.count[channel], c.change[channel]
	for x, v := range row {
		code := v * scale
		if code < 0 {
			continue
		}
		at := min(int(code+0.5), 1023)
		d := float64((v - before[x]) * scale)
		count[at]++
		change[at] += d * d
	}
}

// find returns the ceiling.
func (c *ceilingFinder) find() Ceiling {
	top := topCode(c.reading)
	found := Ceiling{Code: top, Channel: [3]float64{math.NaN(), math.NaN(), math.NaN()}}
	for i := range c.count {
		code, width, ok := findPile(c.count[i], c.change[i], c.samples, c.rounding[i])
		if !ok {
			continue
		}
		found.Channel[i] = code * c.scale
		found.margin[i] = max(width, pileHalf) * c.scale
		if !found.Measured || found.Channel[i] < found.Code {
			found.Code = found.Channel[i]
		}
		found.Measured = true
	}
	return found
}

// topCode returns the file code at which the curve or the file ends, whichever comes first:
// narrow-range files keep 1020..1023 for timing references (Recommendation ITU-R BT.2100-2,
// table 9), and a video-scaled curve such as BT.709 may still be recorded above its nominal 1.
func topCode(r curve.Reading) float64 {
	if r.Range == curve.Full {
		return math.Exp2(float64(r.Bits)) - 1
	}
	return 1019 * math.Exp2(float64(r.Bits)-10)
}

// thresholds returns the codes from which samples are counted as clipped.
func (c Ceiling) thresholds(chroma curve.Chroma) thresholds {
	var limit [3]float64
	for i, code := range c.Channel {
		limit[i] = math.Inf(1)
		if !math.IsNaN(code) {
			limit[i] = code - c.margin[i]
		}
	}
	return newThresholds(limit, chroma)
}

// findPile looks for a pile-up at the top of one channel's histogram, by 10-bit code. It returns
// its code and half its width.
func findPile(count, change []float64, samples, rounding float64) (code, half float64, ok bool) {
	top := len(count) - 1
	for tail := 0.0; top > 0; top-- {
		// A few samples above everything else are ringing or dead pixels.
		if tail += count[top]; tail > samples*pileLeast/20 && tail >= 3 {
			break
		}
	}
	best, mass := 0, 0.0
	for at := top; at >= max(top-overshoot, pileHalf+1); at-- {
		if m := window(count, at, pileHalf); m > mass {
			best, mass = at, m
		}
	}
	if mass < max(samples*pileLeast, 12) {
		return 0, 0, false
	}
	below := window(count, best-pileHalf-1-pileBelow/2, pileBelow/2) / (pileBelow + 1)
	sharp := mass/(2*pileHalf+1) > pileSharp*below
	if !sharp || !still(count, change, best, mass, rounding) {
		return 0, 0, false
	}
	return centre(count, best), width(count, best), true
}

// still tells whether noise has collapsed in a pile-up of mass samples at a code, compared with
// the nearest populated codes below.
func still(count, change []float64, at int, mass, rounding float64) bool {
	// A sample's difference has twice the variance of its noise.
	here := max(window(change, at, pileHalf)/mass/2-rounding, 0)
	half := pileBelow / 4
	for below := at - pileHalf - 1 - half; below > half; below -= half {
		n := window(count, below, half)
		if n < 100 {
			continue
		}
		there := window(change, below, half)/n/2 - rounding
		return there < unseen || here <= collapsed*there
	}
	return true
}

// window sums count over at-half .. at+half, as far as there are codes.
func window(count []float64, at, half int) float64 {
	var sum float64
	for i := max(at-half, 0); i <= min(at+half, len(count)-1); i++ {
		sum += count[i]
	}
	return sum
}

// centre returns the mean code of the pile-up around at.
func centre(count []float64, at int) float64 {
	var sum, moment float64
	for i := max(at-pileHalf, 0); i <= min(at+pileHalf, len(count)-1); i++ {
		sum += count[i]
		moment += count[i] * float64(i)
	}
	return moment / sum
}

// width returns how far below at the pile-up reaches: three times its standard deviation on the
// upper side, where no unclipped light mixes in.
func width(count []float64, at int) float64 {
	var sum, square float64
	for i := at; i <= min(at+overshoot, len(count)-1); i++ {
		n := count[i]
		if i == at {
			n /= 2
		}
		sum += n
		square += n * float64(i-at) * float64(i-at)
	}
	return min(3*math.Sqrt(square/max(sum, 1)), overshoot/2)
}

// single counts a clip of one frame, where nothing tells noise: only the sharpness of a pile-up
// decides.
func (c *ceilingFinder) single() {
	for i, row := range c.before {
		c.compare(i, row, row)
		c.samples = float64(len(row))
	}
}
