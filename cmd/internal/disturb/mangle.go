// Package disturb has what disturbs a run on purpose, and what is compared after it: files with wrong
// bytes in them, and reports that have to be those of an undisturbed run. Tests and cmd/soak use it.
package disturb

import (
	"math/rand/v2"
)

// ends is how much of a file lies near its ends, where containers keep what they say of themselves.
const ends = 4096

// A way is one kind of damage to a copy of a file. Another file is given to those that need one.
type way struct {
	name string
	do   func(rng *rand.Rand, file, other []byte) []byte
}

var ways = []way{
	{"bytes", changeBytes}, {"bits", flipBits}, {"cut tail", cutTail}, {"zeroed range", zeroRange},
	{"doubled range", doubleRange}, {"other head", otherHead},
}

// Mangled returns a copy of a file with damage of one kind, and the kind's name: a few bytes or bits
// changed, its tail cut off, a range zeroed or doubled, or the head of another file. The same seed does
// the same damage. Neither file may be empty.
func Mangled(file, other []byte, seed uint64) (mangled []byte, kind string) {
	rng := rand.New(rand.NewPCG(seed, 1))
	w := ways[rng.IntN(len(ways))]
	return w.do(rng, append([]byte{}, file...), other), w.name
}

// place is near one of a file's ends or anywhere.
func place(rng *rand.Rand, file []byte) int {
	switch near := min(ends, len(file)); rng.IntN(3) {
	case 0:
		return rng.IntN(near)
	case 1:
		return len(file) - 1 - rng.IntN(near)
	}
	return rng.IntN(len(file))
}

// span is a range that begins somewhere in a file, most often a short one.
func span(rng *rand.Rand, file []byte) (from, to int) {
	from = place(rng, file)
	longest := len(file) - from
	if rng.IntN(4) > 0 {
		longest = min(longest, ends)
	}
	return from, from + 1 + rng.IntN(longest)
}

func changeBytes(rng *rand.Rand, file, _ []byte) []byte {
	for range 1 + rng.IntN(12) {
		file[place(rng, file)] = byte(rng.Uint32())
	}
	return file
}

func flipBits(rng *rand.Rand, file, _ []byte) []byte {
	for range 1 + rng.IntN(12) {
		file[place(rng, file)] ^= 1 << rng.IntN(8)
	}
	return file
}

func cutTail(rng *rand.Rand, file, _ []byte) []byte { return file[:rng.IntN(len(file))] }

func zeroRange(rng *rand.Rand, file, _ []byte) []byte {
	from, to := span(rng, file)
	clear(file[from:to])
	return file
}

func doubleRange(rng *rand.Rand, file, _ []byte) []byte {
	from, to := span(rng, file)
	return append(append(append([]byte{}, file[:to]...), file[from:to]...), file[to:]...)
}

func otherHead(rng *rand.Rand, file, other []byte) []byte {
	head := min(1+rng.IntN(ends), len(other))
	from := 0
	if rng.IntN(2) == 0 {
		from = min(head, len(file))
	}
	return append(append([]byte{}, other[:head]...), file[from:]...)
}
