package curve

import (
	"fmt"
	"testing"
)

func BenchmarkTable(b *testing.B) {
	for _, name := range []string{"S-Log3", "LogC3 EI3200", "PQ"} {
		for _, bits := range []int{8, 10, 16} {
			b.Run(fmt.Sprintf("%s/%d", name, bits), func(b *testing.B) {
				r := Reading{Curve: find(b, name), Range: Narrow, Bits: bits}
				b.SetBytes(1 << bits) // codes
				for b.Loop() {
					r.Table()
				}
			})
		}
	}
}
