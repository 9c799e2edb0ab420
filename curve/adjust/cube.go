package adjust

import (
	"io"
	"strconv"
	"strings"
)

// Cube returns the change as a one-dimensional table over 0..1, all that readers of cube files agree on;
// they clamp values beyond. It has 4,096 entries, more where they would be off by a tenth of a 10-bit
// code, and what comes out is not clamped.
func (c Change) Cube() Correction {
	const (
		enough = 0.1 / 1023
		most   = 65536 // entries that the format has
	)
	for size := 4096; ; size *= 4 {
		k := c.cube(size)
		if k.miss = c.over(k, 0, 1, 4*(size-1)); k.off <= enough || size == most {
			return k
		}
	}
}

// A cube is a table over 0..1.
type cube struct {
	entries []float64
	miss
}

// cubeDigits are the decimals of an entry.
const cubeDigits = 6

func (c Change) cube(size int) cube {
	k := cube{entries: make([]float64, size)}
	for i := range k.entries {
		k.entries[i] = rounded(c.Apply(float64(i)/float64(size-1)), cubeDigits)
	}
	return k
}

// Apply returns what a reader makes of a value.
func (k cube) Apply(v float64) float64 { return lookUp(k.entries, v) }

// cubeLine bounds the lines of remarks: some readers take no more than 512 bytes a line.
const cubeLine = 100

// Write writes the file: the title, remarks, the size and the entries, nothing else, for some readers
// pass over a line too many.
func (k cube) Write(w io.Writer, l Label) error {
	p := newPrinter(w)
	p.line(`TITLE "`, strings.ReplaceAll(folded(l.Name, cubeLine)[0], `"`, "'"), `"`)
	for _, s := range append(append([]string{}, l.About...), "Values: "+l.Values, outside) {
		for _, line := range folded(s, cubeLine) {
			p.line("# ", line)
		}
	}
	p.line("LUT_1D_SIZE ", strconv.Itoa(len(k.entries)))
	for _, v := range k.entries {
		s := fixed(v, cubeDigits)
		p.line(s, " ", s, " ", s)
	}
	return p.end()
}

const outside = "Clamps what lies outside 0..1: use the CLF where such values matter."
