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
	from     [3]float64 // file code from which R, G, B count as clipped
}

// A ceilingFinder gathers the top of each channel over a few pairs of frames. It looks at frames
// before the walk, because samples at the ceiling can only be counted once it is known.
type ceilingFinder struct {
	reading curve.Reading
	chroma  curve.Chroma
	scale   float64 // file codes per 10-bit code
	tops    [3]top10
	hues    hues
	samples float64
	before  *decode.Frame

	gray     bool       // there is luma only
	lossy    bool       // coding may have taken noise
	rounding [3]float64 // variance that rounding of Y', Cb and Cr leaves in a channel, (10-bit code)^2
}

func newCeilingFinder(r curve.Reading, m curve.Matrix) *ceilingFinder {
	c := &ceilingFinder{reading: r, chroma: r.Chroma(m), scale: math.Exp2(float64(r.Bits) - 10)}
	for i := range c.tops {
		c.tops[i] = newTop10(r)
	}
	return c
}

// add takes the next frame; second tells that the frame before it in the clip was added last.
// The finder keeps a reference to a frame until the next one, or drop.
func (c *ceilingFinder) add(f *decode.Frame, second bool) {
	if second && c.before != nil {
		c.pair(f, c.before)
	}
	c.drop()
	c.before = f
	f.Keep()
}

// drop releases the frame held.
func (c *ceilingFinder) drop() {
	if c.before != nil {
		c.before.Release()
		c.before = nil
	}
}

// pair compares two frames.
func (c *ceilingFinder) pair(f, before *decode.Frame) {
	c.gray = f.Layout == decode.Gray
	now, was := channelsOf(f, c.chroma), channelsOf(before, c.chroma)
	for y := range now.height {
		rgb, old := now.row(y), was.row(y)
		for i := range rgb {
			c.compare(i, rgb[i], old[i])
		}
		c.hues.add(rgb, c.scale)
		c.samples += float64(now.width)
	}
}

func (c *ceilingFinder) compare(channel int, row, before []float32) {
	scale := float32(perCode / c.scale)
	t := &c.tops[channel]
	last := len(t.count) - 1
	for x, v := range row {
		code, was := v*scale, before[x]*scale
		if code < 0 || was < 0 {
			continue
		}
		d := float64(code-was) / perCode
		t.count[min(int(code+0.5), last)]++
		at := min(int((code+was+1)/2), last)
		t.pairs[at]++
		t.change[at] += d * d
	}
}

// find returns the ceiling.
func (c *ceilingFinder) find() Ceiling {
	found := Ceiling{Code: topCode(c.reading), Channel: [3]float64{math.NaN(), math.NaN(), math.NaN()}}
	for i, t := range c.tops {
		if p, ok := findPile(t, c.samples, c.rounding[i]); ok && c.alone(p) {
			found.set(i, p, c.scale)
		}
	}
	c.findShared(&found, pileHalf, sameCode)
	if c.lossy {
		c.findShared(&found, codedHalf, sameCoded)
	}
	return found
}

// alone tells whether a pile-up in one channel is enough. Lossy coding irons noise out of unclipped
// light as well, so that its collapse says little there.
func (c *ceilingFinder) alone(p pile) bool {
	if c.lossy {
		return p.sharp >= codedSharper*sharpEnough(p.seen) && c.plausible(p.code*c.scale)
	}
	return p.seen || c.plausible(p.code*c.scale)
}

// set takes a pile-up for a channel's ceiling.
func (c *Ceiling) set(channel int, p pile, scale float64) {
	c.Channel[channel], c.from[channel] = p.code*scale, p.from*scale
	if !c.Measured || c.Channel[channel] < c.Code {
		c.Code = c.Channel[channel]
	}
	c.Measured = true
}

// plausible tells whether a camera may clip at a file code where nothing but a sharp pile-up
// speaks for it, because noise is too small to see or coding may have taken it. A white card
// then looks the same, but lies lower: cameras end within mostBelowTop of the curve's end
// (S-Log3 recordings 1.7 stops below it, LogC3 at EI 800 0.6).
func (c *ceilingFinder) plausible(code float64) bool {
	return c.reading.Stops(code) >= curve.ToStops(c.reading.Curve.Decode(c.reading.Curve.Top))-mostBelowTop
}

const mostBelowTop = 2.5 // stops

// topCode returns the file code at which the curve or the file ends, whichever comes first.
func topCode(r curve.Reading) float64 { return min(lastCode(r), r.Code(r.Curve.Top)) }

// lastCode returns the highest file code that may hold picture: narrow-range files keep
// 1020..1023 for timing references (Recommendation ITU-R BT.2100-2, table 9).
func lastCode(r curve.Reading) float64 {
	if r.Range == curve.Full {
		return math.Exp2(float64(r.Bits)) - 1
	}
	return 1020*math.Exp2(float64(r.Bits)-10) - 1
}

// thresholds returns the codes from which samples are counted as clipped.
func (c Ceiling) thresholds(chroma curve.Chroma) thresholds {
	var limit [3]float64
	for i, code := range c.Channel {
		limit[i] = math.Inf(1)
		if !math.IsNaN(code) {
			limit[i] = c.from[i]
		}
	}
	return newThresholds(limit, chroma)
}

// single counts a clip of one frame, where nothing tells noise: only the sharpness of a pile-up
// decides.
func (c *ceilingFinder) single() {
	if c.before != nil {
		c.pair(c.before, c.before)
	}
}
