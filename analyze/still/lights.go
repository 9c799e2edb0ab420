package still

import "stopledger/curve"

// lights tell light by file code, on a straight line between two whole codes, as far as R', G' and B' of Y'CbCr
// can lie beyond the codes of the file.
type lights struct {
	first   curve.FileCode
	entries []lightFrom
}

// lightFrom is the light of a whole code, and what it changes by to the next: none where that has no light.
type lightFrom struct{ light, change float32 }

// newLights returns the lights of a file's codes. R', G' and B' lie less than 2 (1 - Kb) x 2^bits / 2 beyond
// luma, which is less than one file's codes.
func newLights(table *curve.Table) lights {
	codes := len(table.Light)
	l := lights{first: curve.FileCode(-codes), entries: make([]lightFrom, 3*codes)}
	next := float32(table.LightAt(curve.FileCode(2 * codes)))
	for i := len(l.entries) - 1; i >= 0; i-- {
		light := float32(table.LightAt(l.first + curve.FileCode(i)))
		l.entries[i].light = light
		if change := next - light; curve.Finite(float64(change)) {
			l.entries[i].change = change
		}
		next = light
	}
	return l
}

// of sets the light of codes.
func (l *lights) of(light []float32, codes []curve.FileCode) {
	light = light[:len(codes)]
	for x, code := range codes {
		at := float32(code - l.first)
		i := int(at)
		e := l.entries[i]
		light[x] = e.light + (at-float32(i))*e.change
	}
}

// tones are what is shown of light by file code, in steps of a part of a code.
type tones struct {
	first curve.FileCode
	parts curve.FileCode // of a code
	shown []uint8
}

// tones returns what a function shows of light.
func (l *lights) tones(shown func(light float32) uint8) tones {
	const enough = 3 << 12 // four parts of a code of 10 bits
	parts := max(enough/len(l.entries), 1)
	t := tones{first: l.first, parts: curve.FileCode(parts), shown: make([]uint8, 0, parts*len(l.entries))}
	for _, e := range l.entries {
		for part := range parts {
			t.shown = append(t.shown, shown(e.light+float32(part)/float32(parts)*e.change))
		}
	}
	return t
}

// of returns what is shown of a code.
func (t *tones) of(code curve.FileCode) uint8 {
	return t.shown[int((code-t.first)*t.parts+0.5)]
}
