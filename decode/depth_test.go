package decode

import "testing"

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
