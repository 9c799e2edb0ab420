package clipping

import (
	"math"

	"stopledger/analyze/limit"
	"stopledger/curve"
)

const (
	// codedSharper is how many times sharper a peak must be after lossy coding, which flattens slow
	// shading. Common practice, no source.
	codedSharper = 1.6
	// mostBelowTop is how far under the curve's end a camera may clip.
	mostBelowTop curve.Stops = 2.5
	// mostApart is how far apart the channels' ceilings may lie: gains of white balance reach 2.4 in a
	// lamp's light. Common practice, no source.
	mostApart curve.Stops = 1.25
	// lampsUnseen is the share of the frame in which lamps and glints may clip unseen, which edges and coding
	// blur: of 105 trials with seeds below 1000 the largest such share was 0.5 %.
	lampsUnseen curve.Share = 0.005
)

// tops are the channels of a clip as their ceilings are looked for.
type tops struct {
	channels
}

// ceilings looks for each channel's ceiling.
func (t *tops) ceilings() Ceilings {
	found := newCeilings(t.reading)
	constant{&t.channels}.find(&found)
	proven := found
	for i := range t.histograms {
		if found.known(i) {
			continue
		}
		if p, ok := t.spectrum(i, plainReach).peak(t.samples); ok && (t.alone(p) || t.follows(&proven, p)) {
			found.set(i, p, t.reading)
		}
	}
	t.findShared(&found, plainReach, sameCode)
	if t.coding.Lossy {
		t.findShared(&found, codedReach, sameCoded)
	}
	if t.samples > 0 {
		found.Undecided = found.Undecided && !found.Measured
		for i := range t.histograms {
			found.Undecided = found.Undecided || !found.known(i) && t.doubtful(i, found.Measured)
		}
		t.rollOff(&found)
		most, least := t.brightest(&found)
		found.Brightest, found.Held, found.Soft = t.reading.Stops(most), t.reading.Stops(least), t.soft(&found)
		found.endAsPublished(t.reading)
		if !found.Measured && found.Brightest >= limit.LeastCeiling {
			found.Unseen = lampsUnseen
		}
	}
	return found
}

// alone tells whether a peak in one channel is enough. Lossy coding irons noise out of unclipped
// light as well, so that its collapse says little there.
func (t *tops) alone(p peak) bool {
	if t.coding.Lossy {
		return p.sharp >= codedSharper*sharpEnough(p.seen) && t.plausible(p.code)
	}
	return p.seen || t.plausible(p.code)
}

// follows tells whether a very sharp peak lies no further from a ceiling that another channel proves than the gains of
// white balance set channels apart.
func (t *tops) follows(proven *Ceilings, p peak) bool {
	r := t.reading
	for i, at := range proven.Channel {
		if proven.known(i) && math.Abs(float64(r.Stops(at)-r.Stops(r.FileCode(p.code)))) <= float64(mostApart) {
			return p.sharp >= codedSharper*sharpEnough(p.seen)
		}
	}
	return false
}

// plausible tells whether a camera may clip at a code where nothing but a sharp peak speaks for
// it, because noise is too small to see or coding may have taken it. A white card then looks the
// same, but lies lower: cameras end within mostBelowTop of the curve's end (S-Log3 recordings 1.7
// stops below it, LogC3 at EI 800 0.6).
func (t *tops) plausible(code curve.Code) bool {
	r := t.reading
	return r.Stops(r.FileCode(code)) >= r.Curve.Decode(r.Curve.Top).Stops()-mostBelowTop
}

// findShared looks for peaks of a reach that channels share within a number of codes, in channels
// without a ceiling.
func (t *tops) findShared(found *Ceilings, reach int, same curve.Code) {
	var all [3]faint
	for i := range all {
		if found.known(i) {
			all[i] = faint{peak: peak{code: t.reading.Code(found.Channel[i])}, known: true}
		} else {
			all[i] = t.spectrum(i, reach).faint(t.samples, t.coding.Lossy)
		}
	}
	end := t.reading.Code(t.reading.Last())
	for i, p := range all {
		if p.known || !p.found {
			continue
		}
		code, ok := t.shared(i, all, same)
		if p.code > end-same {
			code, ok = end, true
		}
		if ok && !t.goesOn(i, code) {
			p.code = code
			found.set(i, p.peak, t.reading)
		}
	}
}

// goesOn tells whether cells of a channel lie over a code: where channels are alike up to the ceiling of
// one, the others pile up there as well, if light is dense or rounding leaves them few codes.
func (t *tops) goesOn(channel int, code curve.Code) bool {
	near := constant{&t.channels}.crowd(channel, code)
	return near.above >= leastField && curve.Share(near.above) > mostCellAbove*curve.Share(near.on)
}

// shared returns the code that a channel's peak shares with others: the highest, because edges
// draw the mean of a peak down. The three channels of a gray frame are one.
func (t *tops) shared(channel int, all [3]faint, same curve.Code) (code curve.Code, ok bool) {
	p := all[channel]
	code = p.code
	if t.gray {
		return code, false
	}
	for i, q := range all {
		if i == channel || !q.known && !q.found || math.Abs(float64(q.code-p.code)) > float64(same) {
			continue
		}
		if q.known || t.plausible(p.code) && p.support(q, t.hues.between(channel, i, p.code)) {
			code, ok = max(code, q.code), true
		}
	}
	return code, ok
}
