package analyze

import "math"

// Lamps and glints put few samples at the ceiling, most of them near an edge, where coding and the
// filter of chroma samples throw them over several codes and change them more than noise does. Such
// a pile-up alone is not believed. It is where another channel piles up at the same code, although
// the light around is coloured: a lamp's own colour keeps channels apart until they clip. It is,
// too, at the end of the codes, where nothing can lie above. The limits are common practice, no
// source, tried on the synthetic camera.
const (
	faintLeast = pileLeast / 4 // least share of samples: a dozen of a 1080p 4:2:0 frame
	codedHalf  = 5             // codes that coding throws samples near edges, either side
	sameCode   = 1.0           // codes within which pile-ups of channels are the same
	sameCoded  = 4.0           // the same, where coding moves them
	drowning   = 2.0           // coding hides noise where it changes samples so many times as much
	apart      = 15.0          // codes between channels, on the average, of coloured light
)

// A faint is a channel's pile-up that is not believed alone.
type faint struct {
	pile
	found   bool // there is one
	still   bool // noise collapses in it, or would not show
	drowned bool // coding hides noise in it
	known   bool // the channel's ceiling is known already
}

// findShared looks for pile-ups, half codes to either side, that channels share within a number of
// codes, in channels without a ceiling.
func (c *ceilingFinder) findShared(found *Ceiling, half int, same float64) {
	var all [3]faint
	for i, code := range found.Channel {
		if math.IsNaN(code) {
			all[i] = c.faint(i, half)
		} else {
			all[i] = faint{pile: pile{code: code / c.scale}, known: true}
		}
	}
	end := lastCode(c.reading) / c.scale
	for i, p := range all {
		if p.known || !p.found {
			continue
		}
		code, ok := c.shared(i, all, same)
		if p.code > end-same {
			code, ok = end, true
		}
		if ok {
			p.code = code
			found.set(i, p.pile, c.scale)
		}
	}
}

// faint looks for a pile-up in a channel whatever its noise, and whatever lies above it.
func (c *ceilingFinder) faint(channel, half int) faint {
	t, rounding := c.tops[channel], c.rounding[channel]
	t.half = half
	at, sharp := t.sharpest(c.samples, faintLeast)
	if sharp < sharpUnseen {
		return faint{}
	}
	still, _ := t.collapse(at, rounding)
	return faint{pile: pile{code: t.centre(at), from: t.from(at)}, found: true, still: still, drowned: c.lossy && t.drowned(at, rounding)}
}

// shared returns the code that a channel's pile-up shares with others: the highest, because edges
// draw the mean of a pile-up down.
func (c *ceilingFinder) shared(channel int, all [3]faint, same float64) (code float64, ok bool) {
	p := all[channel]
	code = p.code
	if c.gray {
		return code, false // all channels are one
	}
	for i, q := range all {
		if i == channel || !q.known && !q.found || math.Abs(q.code-p.code) > same {
			continue
		}
		if q.known || c.plausible(p.code*c.scale) && c.support(p, q, c.hues.between(channel, i, p.code)) {
			code, ok = max(code, q.code), true
		}
	}
	return code, ok
}

// support tells whether two pile-ups at the same code speak for each other. Where coding hides
// their noise, hue has to: the codes between the channels in the light just below.
func (c *ceilingFinder) support(p, q faint, hue float64) bool {
	if p.still && q.still {
		return true
	}
	return (p.still || p.drowned) && (q.still || q.drowned) && math.Abs(hue) >= apart
}

// drowned tells whether coding changes the samples of a pile-up much more than noise would. It
// does so near edges, at any level, so the quietest codes below tell the noise.
func (t top10) drowned(at int, rounding float64) bool {
	here, _, _ := t.noise(at, rounding)
	quietest := math.Inf(1)
	const half = pileBelow * perCode / 2
	for below := at - (t.half+1)*perCode - half; below > half; below -= half {
		n := window(t.pairs, below, half)
		there := window(t.change, below, half)/max(n, 1)/2 - rounding
		if n < wellPopulated || there <= 0 {
			continue
		}
		_, likely := t.carry(there, below, at)
		quietest = min(quietest, likely)
	}
	return here > drowning*quietest
}

// hues are the differences between channels, summed by the 10-bit code of the brightest.
type hues struct{ count, redGreen, greenBlue [1024]float64 }

func (h *hues) add(rgb [3][]float32, scale float64) {
	toCode := float32(1 / scale)
	for x, red := range rgb[0] {
		green, blue := rgb[1][x], rgb[2][x]
		at := min(max(int(max(red, green, blue)*toCode), 0), len(h.count)-1)
		h.count[at]++
		h.redGreen[at] += float64((red - green) * toCode)
		h.greenBlue[at] += float64((green - blue) * toCode)
	}
}

// between returns the mean codes between two channels in light from nearBelow to farBelow codes
// below a code, 0 where there is hardly any.
func (h *hues) between(a, b int, code float64) float64 {
	const nearBelow, farBelow, few = 12, 120, 4
	var n, sum float64
	for at := max(int(code)-farBelow, 0); at < min(int(code)-nearBelow, len(h.count)); at++ {
		n += h.count[at]
		if min(a, b) == 0 {
			sum += h.redGreen[at]
		}
		if max(a, b) == 2 {
			sum += h.greenBlue[at]
		}
	}
	if n < few {
		return 0
	}
	return sum / n
}
