package noise

import (
	"maps"
	"math"
	"slices"

	"stopledger/curve"
)

// A toneTable gathers noise by tone, keyed by the tone's number: tone i runs from i to i+1 half
// stops over nominal grey.
type toneTable map[int]*toneSums

// at returns the sums of a tone.
func (t toneTable) at(tone int) *toneSums {
	if t[tone] == nil {
		t[tone] = &toneSums{}
	}
	return t[tone]
}

// add estimates the noise of a batch of cells, of a picture that moves as a whole or not.
func (t toneTable) add(samples []sample, s *toneScale, moving bool) {
	for tone, parts := range byTone(samples, s) {
		for _, part := range parts {
			if moving {
				t.at(tone).addMoving(part, s)
			} else {
				t.at(tone).addPart(part, s)
			}
		}
	}
}

// merge adds another table, of other frames.
func (t toneTable) merge(other toneTable) {
	for tone, o := range other {
		t.at(tone).merge(o)
	}
}

// byTone sorts cells into the parts of tones; parts with few cells are put together.
func byTone(samples []sample, s *toneScale) map[int][][]sample {
	parts := map[int][]sample{}
	for _, c := range samples {
		stops := float64(max(s.stopsAt(c.code), DarkestTone))
		part := int(math.Floor(stops * toneParts / toneStep))
		parts[part] = append(parts[part], c)
	}
	tones, few := map[int][][]sample{}, map[int][]sample{}
	for _, at := range slices.Sorted(maps.Keys(parts)) {
		part := parts[at]
		tone := int(math.Floor(float64(at) / toneParts))
		if len(part) >= 2*leastCells {
			tones[tone] = append(tones[tone], part)
		} else {
			few[tone] = append(few[tone], part...)
		}
	}
	for tone, part := range few {
		tones[tone] = append(tones[tone], part)
	}
	return tones
}

// tones returns the table's tones, darkest first.
func (t toneTable) tones(w worth) []tone {
	var out []tone
	for _, at := range slices.Sorted(maps.Keys(t)) {
		if m := t[at]; m.cells > 0 {
			out = append(out, m.tone(w))
		}
	}
	return out
}

// used returns how many cells the estimates rest on.
func (t toneTable) used() float64 {
	var n float64
	for _, m := range t {
		n += m.cells
	}
	return n
}

// repeatedShare returns the share of cells that repeat the frame before, in tones up to a stop
// over grey whose other cells show noise that whole codes can hold. Brighter noise may be too
// small to show, and a tone of which nothing else is left may be a bar or a caption.
func (t toneTable) repeatedShare() curve.Share {
	const brightest = 2 // tone number: a stop over grey
	var repeated, all, hidden, seen float64
	for tone, m := range t {
		switch {
		case tone >= brightest:
		case m.cells == 0:
			hidden += m.repeated
		case m.variance/m.cells-quantised >= float64(LeastSigma*LeastSigma):
			repeated += m.repeated
			all += m.repeated + m.cells
		}
		seen += m.repeated + m.cells
	}
	// Where most of the picture has nothing but repeats, that is no caption.
	if hidden > 0.5*seen {
		return curve.Share(hidden / seen)
	}
	if all == 0 {
		return 0
	}
	return curve.Share(repeated / all)
}
