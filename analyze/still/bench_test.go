package still

import (
	"testing"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
)

// BenchmarkFrame takes a frame of 1920 x 1080 in all ways.
func BenchmarkFrame(b *testing.B) {
	c, err := curve.Find("S-Log3")
	if err != nil {
		b.Fatal(err)
	}
	f := testframes.Make(testframes.Kinds[1], 1920, 1080, 10, 1, func(_, plane, x, y int) uint16 {
		return uint16(400 + (x*7+y*13)%40 + 100*(plane%2))
	})[0]
	camera := NewCamera(curve.Reading{Curve: c, Bits: 10}.Table(), curve.BT709, noCeiling)
	b.SetBytes(1920 * 1080)
	for b.Loop() {
		camera.Frame(f).Release()
	}
}
