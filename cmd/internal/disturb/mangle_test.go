package disturb

import (
	"bytes"
	"testing"
)

// Each kind of damage is done, the same for the same seed, and never to the file itself.
func TestMangled(t *testing.T) {
	file, other := bytes.Repeat([]byte("abcdefgh"), 3000), bytes.Repeat([]byte{255}, 100)
	before := bytes.Clone(file)
	done, unchanged := map[string]int{}, 0
	for seed := range uint64(600) {
		got, kind := Mangled(file, other, seed)
		again, _ := Mangled(file, other, seed)
		if !bytes.Equal(got, again) {
			t.Errorf("seed %d does different damage each time", seed)
		}
		if done[kind]++; bytes.Equal(got, file) {
			unchanged++
		}
	}
	if !bytes.Equal(file, before) {
		t.Error("the file itself is changed")
	}
	if len(done) != len(ways) || unchanged > 6 {
		t.Errorf("%v, %d unchanged", done, unchanged)
	}
	for seed := range uint64(200) { // a file of one byte
		Mangled(file[:1], other[:1], seed)
	}
}
