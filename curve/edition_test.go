package curve

import (
	"fmt"
	"hash/crc32"
	"testing"
)

// The sum of each edition over all curves, so that none changes without a new edition.
var editions = map[string]uint32{"2026-11": 0x9941649a}

func TestEdition(t *testing.T) {
	sum := crc32.NewIEEE()
	for _, c := range All() {
		r := Reading{Curve: c, Range: c.Range, Bits: 10}
		fmt.Fprintln(sum, c.Name)
		for stops := Stops(-8); stops <= 6; stops += 0.5 {
			fmt.Fprintf(sum, "%.2f ", r.Code(r.CodeOf(stops.Light()))+0.00123) // no value on the edge of rounding
		}
	}
	if got := sum.Sum32(); got != editions[Edition] {
		t.Errorf("the curves have changed since edition %s: raise it, with the sum %#x", Edition, got)
	}
}
