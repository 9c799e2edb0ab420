package detect

import (
	"encoding/json"
	"image"
	"image/jpeg"
	"math"
	"os"
	"strings"
	"testing"

	"stopledger/analyze/detect/pyramid"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/testdata/footage"
)

// jpegFrame reads a picture as a full-range 8-bit frame of sRGB with the BT.601 matrix, which is
// what JFIF says of such a file.
func jpegFrame(t testing.TB, name string) (*decode.Frame, curve.Reading, curve.Matrix) {
	t.Helper()
	file, err := os.Open(footage.Path(t, name))
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

// TestRealCharts compares the corners of the patch grid with those fitted to the pictures by hand,
// to a quarter of the patches' pitch. The charts are prints: their values mean nothing.
func TestRealCharts(t *testing.T) {
	raw, err := os.ReadFile(footage.Path(t, "charts/corners.json"))
	if err != nil {
		t.Fatal(err)
	}
	var truth map[string]struct {
		Corners [4][2]float64 `json:"outer_corners_grid_edge"`
	}
	if err := json.Unmarshal(raw, &truth); err != nil {
		t.Fatal(err)
	}
	for name, c := range truth {
		t.Run(name, func(t *testing.T) {
			f, r, m := jpegFrame(t, "charts/"+name)
			found := Look(f, r, m, Options{})
			if len(found.Charts) != 1 || len(found.Cards) > 0 || len(found.Faces) > 0 {
				t.Fatalf("%d charts, %d cards, %d faces, want one chart", len(found.Charts), len(found.Cards),
					len(found.Faces))
			}
			var want geometry.Quad
			for i, p := range c.Corners {
				want[i] = geometry.Pt(p[0], p[1])
			}
			pitch := math.Min(math.Min(want.Side(0), want.Side(2))/6, math.Min(want.Side(1), want.Side(3))/4)
			off := found.Charts[0].Corners.Farthest(want)
			t.Logf("corners off by %.1f px, %.2f of the pitch; confidence %.2f", off, off/pitch,
				found.Charts[0].Confidence)
			if off > 0.25*pitch {
				t.Errorf("corners off by %.1f px, %.2f of the pitch", off, off/pitch)
			}
		})
	}
}

// realNegatives are photographs with neither card nor chart.
var realNegatives = []string{
	"negatives/butterfly_DX4330.jpg", "negatives/daisy_Coolpix775.jpg", "negatives/trees_S30.jpg",
	"faces/group_A70.jpg", "faces/man_on_bench_T3i.jpg", "faces/pigo_sample.jpg",
}

// TestRealNegatives: nothing is found where nothing is.
func TestRealNegatives(t *testing.T) {
	for _, name := range realNegatives {
		t.Run(name, func(t *testing.T) {
			f, r, m := jpegFrame(t, name)
			found := Look(f, r, m, Options{})
			faces := len(found.Faces)
			if strings.HasPrefix(name, "faces/") {
				faces = 0
			}
			if len(found.Charts)+len(found.Cards)+faces > 0 {
				t.Errorf("%+v", found)
			}
		})
	}
}

// mostInvented is the share of pictures with neither card nor chart in which one may be found.
const mostInvented = 0.01

// TestRealCrops looks at parts of the same photographs, as if the camera had been closer.
func TestRealCrops(t *testing.T) {
	looked, invented := 0, 0
	for _, name := range realNegatives {
		t.Run(name, func(t *testing.T) {
			for _, width := range []int{320, 480, 640, 960, 1600} {
				crops, wrong := lookAtCrops(t, name, width)
				looked, invented = looked+crops, invented+wrong
			}
		})
	}
	t.Logf("invented in %d of %d", invented, looked)
	if looked == 0 || float64(invented) > mostInvented*float64(looked) {
		t.Errorf("invented in %d of %d, want %.0f %% at most", invented, looked, 100*mostInvented)
	}
}

// lookAtCrops looks at the parts of a photograph that are so many pixels wide, half of each within
// the next, and counts those in which a card or a chart is found.
func lookAtCrops(t *testing.T, name string, width int) (looked, invented int) {
	t.Helper()
	f, r, m := jpegFrame(t, name)
	height := width * 9 / 16
	for y := 0; y+height <= f.Planes[0].Height; y += height / 2 {
		for x := 0; x+width <= f.Planes[0].Width; x += width / 2 {
			part, at := pyramid.Crop(f, image.Rect(x, y, x+width, y+height))
			found := Look(&part, r, m, Options{SkipFaces: true})
			looked++
			if len(found.Cards)+len(found.Charts) > 0 {
				invented++
				t.Logf("from %v, %d wide: %d cards, %d charts", at, width, len(found.Cards), len(found.Charts))
			}
		}
	}
	return looked, invented
}
