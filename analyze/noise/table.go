package noise

import (
	"maps"
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
func (t toneTable) add(samples []sample, s *toneScale, moving bool, memory *scratch) {
	for _, p := range memory.byTone(samples, s) {
		if moving {
			t.at(p.tone).addMoving(p.cells, s, memory)
		} else {
			t.at(p.tone).addPart(p.cells, s, memory)
		}
	}
}

// merge adds another table, of other frames.
func (t toneTable) merge(other toneTable) {
	for tone, o := range other {
		t.at(tone).merge(o)
	}
}

// A part is the cells of one part of a tone, or of all its parts that have few.
type part struct {
	tone  int
	cells []sample
}

// byTone sorts cells into the parts of tones, darkest first. Within a part they keep their order; parts with few cells
// are put together, after the others of their tone. The parts are valid until it is asked again.
func (m *scratch) byTone(samples []sample, s *toneScale) []part {
	var ends []int // first, how many cells there are of each part
	m.at = m.at[:0]
	for _, c := range samples {
		at := s.partAt(c.code)
		for len(ends) <= at {
			ends = append(ends, 0)
		}
		ends[at]++
		m.at = append(m.at, int16(at))
	}
	n := 0
	for i, count := range ends {
		ends[i] = n // where the next cell of the part goes, and after the last one the part's end
		n += count
	}
	m.sorted = slices.Grow(m.sorted[:0], n)[:n]
	for i, c := range samples {
		m.sorted[ends[m.at[i]]] = c
		ends[m.at[i]]++
	}
	var parts []part
	begin := 0
	for first := 0; first < len(ends); first += toneParts {
		var few []sample
		tone := first/toneParts + int(darkestTone)
		for _, end := range ends[first:min(first+toneParts, len(ends))] {
			if cells := m.sorted[begin:end]; len(cells) >= 2*leastCells {
				parts = append(parts, part{tone, cells})
			} else {
				few = append(few, cells...)
			}
			begin = end
		}
		if len(few) > 0 {
			parts = append(parts, part{tone, few})
		}
	}
	return parts
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
