package find

import (
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
)

// realData is the folder of camera-made files, beside the repository; tests that need it are
// skipped where it is absent.
const realData = "../../../shared/data"

// jpegFrame reads a picture as a full-range 8-bit frame of sRGB with the BT.601 matrix, which is
// what JFIF says of such a file.
func jpegFrame(t testing.TB, name string) (*decode.Frame, curve.Reading, curve.Matrix) {
	t.Helper()
	file, err := os.Open(filepath.Join(realData, name))
	if os.IsNotExist(err) {
		t.Skipf("no real data: %v", err)
	}
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	img, err := jpeg.Decode(file)
	if err != nil {
		t.Fatal(err)
	}
	c, err := curve.Find("sRGB")
	if err != nil {
		t.Fatal(err)
	}
	y := img.(*image.YCbCr)
	b := y.Bounds()
	f := &decode.Frame{Layout: decode.YCbCr, Bits: 8}
	f.Planes[0] = bytePlane(y.Y, y.YStride, b.Dx(), b.Dy())
	cw, ch := b.Dx(), b.Dy()
	switch y.SubsampleRatio {
	case image.YCbCrSubsampleRatio420:
		cw, ch = (cw+1)/2, (ch+1)/2
	case image.YCbCrSubsampleRatio422:
		cw = (cw + 1) / 2
	}
	f.Planes[1] = bytePlane(y.Cb, y.CStride, cw, ch)
	f.Planes[2] = bytePlane(y.Cr, y.CStride, cw, ch)
	return f, curve.Reading{Curve: c, Range: curve.Full, Bits: 8}, curve.BT601
}

func bytePlane(samples []uint8, stride, w, h int) decode.Plane {
	p := decode.Plane{Stride: w, Width: w, Height: h, Samples: make([]uint16, w*h)}
	for y := range h {
		for x := range w {
			p.Samples[y*w+x] = uint16(samples[y*stride+x])
		}
	}
	return p
}
