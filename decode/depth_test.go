package decode

import (
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// TestDamagedStreamsAreClipped: whatever bytes a stream holds, samples of the decoders that clip stay within their
// depth: they are not looked through.
func TestDamagedStreamsAreClipped(t *testing.T) {
	looked := map[string]int{}
	clips := []string{"prores hq", "prores 4444", "prores interlaced", "dnxhr mov", "hevc intra", "hevc long"}
	for _, name := range clips {
		path := clipNamed(t, name)
		content, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for seed := range uint64(7) {
			random := rand.New(rand.NewPCG(seed, 31))
			bad := slices.Clone(content)
			const index = 8 << 10 // at the end; the beginning of the file has what names it
			for range 1 << (seed % 7) {
				bad[1<<10+random.IntN(len(bad)-1<<10-index)] = byte(random.Uint32())
			}
			c, err := Open(write(t, filepath.Base(path), bad))
			if err != nil {
				continue
			}
			_ = c.Read(context.Background(), ReadOptions{Threads: 1}, func(f *Frame) error {
				if looked[name]++; !withinDepth(f.Planes, f.Bits) {
					t.Errorf("%s, seed %d: frame %d has a sample of more than %d bits", name, seed, f.Index, f.Bits)
				}
				return nil
			})
			c.Close()
		}
		if looked[name] < 20 {
			t.Errorf("%s: %d frames came", name, looked[name])
		}
	}
}

// TestWithinDepth sets one bit too many at each place of rows of many lengths.
func TestWithinDepth(t *testing.T) {
	for width := 1; width < 40; width++ {
		samples := make([]uint16, 2*width)
		for i := range samples {
			samples[i] = 1023
		}
		planes := [3]Plane{{Samples: samples, Stride: width, Width: width, Height: 2}}
		if !withinDepth(planes, 10) || withinDepth(planes, 9) {
			t.Errorf("1023 is not seen as 10 bits in rows of %d", width)
		}
		for i := range samples {
			for _, value := range []uint16{1024, 0x8000} {
				samples[i] = value
				if withinDepth(planes, 10) || !withinDepth(planes, 16) {
					t.Errorf("%d as sample %d is not seen as more than 10 bits, in rows of %d", value, i, width)
				}
			}
			samples[i] = 0
		}
	}
}

// TestPaddingIsNotRead leaves what is beside the picture out of it.
func TestPaddingIsNotRead(t *testing.T) {
	samples := []uint16{1, 2, 3, 0xffff, 4, 5, 6, 0xffff}
	if !withinDepth([3]Plane{{Samples: samples, Stride: 4, Width: 3, Height: 2}}, 8) {
		t.Error("padding was read")
	}
}

func BenchmarkWithinDepth(b *testing.B) {
	const width, height = 3840, 2160
	plane := Plane{Samples: make([]uint16, width*height), Stride: width, Width: width, Height: height}
	b.SetBytes(2 * width * height)
	for b.Loop() {
		withinDepth([3]Plane{plane}, 10)
	}
}
