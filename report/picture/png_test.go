package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math/rand/v2"
	"testing"
)

// TestPNGIsReadBack: pictures of noise, and of nothing but one tone, are read by image/png as they were, and
// weigh no more than as it would have written them.
func TestPNGIsReadBack(t *testing.T) {
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 41))
		size := image.Rect(0, 0, 1+random.IntN(90), 1+random.IntN(70))
		noisy := seed%4 != 3
		sample := func() uint8 {
			if !noisy {
				return 77
			}
			return uint8(min(max(100+9*random.NormFloat64(), 0), 255))
		}
		rgba, grey := image.NewRGBA(size), image.NewGray16(size)
		for i := range size.Dx() * size.Dy() {
			copy(rgba.Pix[4*i:], []uint8{sample(), sample(), sample(), 255})
			copy(grey.Pix[2*i:], []uint8{40, sample()})
		}
		for kind, img := range map[string]image.Image{"colour": rgba, "grey": grey} {
			data, err := asPNG(img)
			if err != nil {
				t.Fatal(err)
			}
			got, err := png.Decode(bytes.NewReader(data))
			if err != nil || got.Bounds() != size {
				t.Fatalf("seed %d, %s: %v", seed, kind, err)
			}
			for i := range size.Dx() * size.Dy() {
				x, y := i%size.Dx(), i/size.Dx()
				if got := color.RGBA64Model.Convert(got.At(x, y)); got != color.RGBA64Model.Convert(img.At(x, y)) {
					t.Fatalf("seed %d, %s: %v at %d,%d, want %v", seed, kind, got, x, y, img.At(x, y))
				}
			}
			var usual bytes.Buffer
			if err := png.Encode(&usual, img); err != nil {
				t.Fatal(err)
			}
			if float64(len(data)) > 1.1*float64(usual.Len())+110 {
				t.Errorf("seed %d, %s: %d bytes, image/png takes %d", seed, kind, len(data), usual.Len())
			}
		}
	}
	if _, err := asPNG(image.NewRGBA(image.Rectangle{})); err == nil {
		t.Error("a picture without pixels is written")
	}
}
