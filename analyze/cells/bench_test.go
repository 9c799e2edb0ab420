package cells

import (
	"fmt"
	"testing"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
)

// BenchmarkWalk walks one frame against the one before, with two workers; bytes are of one frame.
// Sizes are 1080p, UHD and, small enough for caches, a quarter of 1080p.
func BenchmarkWalk(b *testing.B) {
	for _, size := range [][2]int{{960, 540}, {1920, 1080}, {3840, 2160}} {
		b.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(b *testing.B) {
			ramp := func(frame, plane, x, y int) uint16 {
				z := uint32(x*2654435761) ^ uint32(y*40503) ^ uint32(frame*97+plane)*2246822519
				z ^= z >> 15
				return uint16(300 + x*400/size[0] + int(z>>24)%16)
			}
			frames := testframes.Make(testframes.Kinds[1], size[0], size[1], 10, 2, ramp)
			how := Walk{Reading: testframes.Reading(b, 10), Matrix: curve.BT709, Workers: 2}
			how.Thresholds = NewThresholds([3]curve.FileCode{680, 680, 680}, how.Reading.Chroma(how.Matrix))
			w := NewWalker(how, func(*Frame) {})
			w.Add(frames[1])
			b.SetBytes(int64(size[0] * size[1] * 2 * 2)) // two bytes a sample, as much chroma as luma
			for i := 0; b.Loop(); i++ {
				w.Add(frames[i%2])
			}
		})
	}
}

// BenchmarkCopy copies as many bytes as a frame of 1080p has: what a walk can be as fast as.
func BenchmarkCopy(b *testing.B) {
	from, to := make([]uint16, 1920*1080*2), make([]uint16, 1920*1080*2)
	b.SetBytes(int64(2 * len(from)))
	for b.Loop() {
		copy(to, from)
	}
}
