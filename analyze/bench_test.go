package analyze

import (
	"fmt"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
)

// benchSizes are 1080p, UHD and, small enough for caches, a quarter of 1080p.
var benchSizes = [][2]int{{960, 540}, {1920, 1080}, {3840, 2160}}

// benchPair makes a pair of 4:2:2 10-bit frames.
func benchPair(size [2]int) (frames []*decode.Frame, bytes int64) {
	frames = makeFrames(kinds[1], size[0], size[1], 10, 2, func(frame, plane, x, y int) uint16 {
		z := uint32(x*2654435761) ^ uint32(y*40503) ^ uint32(frame*97+plane)*2246822519
		z ^= z >> 15
		return uint16(300 + x*400/size[0] + int(z>>24)%16)
	})
	return frames, int64(size[0] * size[1] * 2 * 2) // two bytes a sample, as much chroma as luma
}

// BenchmarkWalk walks one frame against the one before, with two workers; bytes are of one frame.
func BenchmarkWalk(b *testing.B) {
	for _, size := range benchSizes {
		b.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(b *testing.B) {
			frames, bytes := benchPair(size)
			set := Settings{Reading: readingOf(b, 10), Matrix: curve.BT709, Threads: 2}
			w, _ := walkFrames(kinds[1], frames, newThresholds([3]float64{680, 680, 680}, set.Reading.Chroma(set.Matrix)), set)
			b.SetBytes(bytes)
			for i := 0; b.Loop(); i++ {
				w.add(frames[i%2])
			}
		})
	}
}

// BenchmarkQuietCells runs the robust rule over the cells of a small part, of a tone and of a frame.
func BenchmarkQuietCells(b *testing.B) {
	for _, n := range []int{50, 1000, 30000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			cells := chiCells(n, cellFreedom, 0.1, 1)
			for b.Loop() {
				quietCells(cells, cellFreedom)
			}
		})
	}
}

// BenchmarkFindCeiling gathers the top of a pair and looks for the pile-up in it.
func BenchmarkFindCeiling(b *testing.B) {
	for _, size := range benchSizes {
		b.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(b *testing.B) {
			frames, bytes := benchPair(size)
			b.SetBytes(2 * bytes)
			for b.Loop() {
				finder := newCeilingFinder(readingOf(b, 10), curve.BT709)
				finder.add(frames[0], false)
				finder.add(frames[1], true)
				finder.find()
			}
		})
	}
}
