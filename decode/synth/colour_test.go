package synth

import (
	"encoding/binary"
	"fmt"
	"math"
	"testing"

	"stopledger/curve"
)

// The conversion from D50 to linear BT.709, against matrices printed elsewhere.
func TestColourMatrices(t *testing.T) {
	for _, c := range []struct {
		source    string
		got, want matrix3
		tolerance float64
	}{
		// IEC 61966-2-1:1999, 5.2, printed to four places, its inverse in turn (from memory).
		{"XYZ to BT.709", bt709FromXYZ, matrix3{{3.2406, -1.5372, -0.4986}, {-0.9689, 1.8758, 0.0415},
			{0.0557, -0.2040, 1.0570}}, 5e-4},
		// ICC.1:2010, annex E.3 prints D65 to D50 (from memory); ours must undo it.
		{"D50 to D65", adaptD50.product(matrix3{{1.0479, 0.0229, -0.0501}, {0.0296, 0.9904, -0.0171},
			{-0.0092, 0.0151, 0.7519}}),
			matrix3{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, 4e-4},
	} {
		for i := range c.got {
			for j := range c.got {
				if d := math.Abs(c.got[i][j] - c.want[i][j]); d > c.tolerance {
					t.Errorf("%s [%d][%d]: %.5f, want %.5f", c.source, i, j, c.got[i][j], c.want[i][j])
				}
			}
		}
	}
}

// The patches in 8-bit sRGB: D. Pascale, RGB coordinates of the ColorChecker, 2006, table for
// the 2005 data (from memory). They are whole codes; one more is allowed for the memory.
func TestChartColours(t *testing.T) {
	want := map[string][3]float64{
		"light skin": {199, 147, 129}, "blue sky": {91, 122, 156}, "foliage": {90, 108, 64}, "blue flower": {130, 128, 176},
		"bluish green": {92, 190, 172}, "orange": {224, 124, 47}, "purplish blue": {68, 91, 170}, "moderate red": {198,
			82, 97},
		"purple": {94, 58, 106}, "yellow green": {159, 189, 63}, "orange yellow": {230, 162, 39}, "blue": {35, 63, 147},
		"green": {67, 149, 74}, "red": {180, 49, 57}, "yellow": {238, 198, 20}, "magenta": {193, 84, 151},
	}
	const tolerance = 1.5
	for _, p := range chartPatches {
		w, ok := want[p.name]
		if !ok {
			continue
		}
		for c, v := range bt709FromD50(p.x, p.y, p.lum) {
			if got := 255 * srgb(float64(v)); math.Abs(got-w[c]) > tolerance {
				t.Errorf("%s: channel %d is %.1f, want %v", p.name, c, got, w[c])
			}
		}
	}
}

// srgb is IEC 61966-2-1:1999, 5.2.
func srgb(v float64) float64 {
	if v <= 0.0031308 {
		return 12.92 * v
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

// Luminance of BT.709 light is Kr R + Kg G + Kb B: every patch has the Y that adaptation gives
// it, but for cyan, whose red is cut.
func TestChartLuminance(t *testing.T) {
	for _, p := range chartPatches {
		l := bt709FromD50(p.x, p.y, p.lum)
		y := curve.BT709.Kr*float64(l[0]) + curve.BT709.Kg()*float64(l[1]) + curve.BT709.Kb*float64(l[2])
		want := adaptD50.times(xyz(p.x, p.y, p.lum))[1]
		tolerance := 3e-4 * want // weights are printed to four places
		if p.name == "cyan" {
			tolerance = 0.1 * want
		}
		if math.Abs(y-want) > tolerance {
			t.Errorf("%s: Y %.5f, want %.5f", p.name, y, want)
		}
	}
}

// R'G'B' becomes Y'CbCr by the same arithmetic as in libzimg (FFmpeg's zscale filter), for every
// matrix, range and depth: within a code, since both sides round.
func TestMatrixAgainstZimg(t *testing.T) {
	linear, err := curve.Find("Linear")
	if err != nil {
		t.Fatal(err)
	}
	const w, h = 128, 72
	zimgNames := map[string]string{"bt601": "170m", "bt709": "709", "bt2020": "2020_ncl"}
	for _, m := range []curve.Matrix{curve.BT601, curve.BT709, curve.BT2020} {
		for _, rng := range []curve.Range{curve.Narrow, curve.Full} {
			for _, bits := range []int{8, 10, 12} {
				cam := Camera{Width: w, Height: h, Curve: linear, Matrix: m, Range: rng, Bits: bits, Sampling: S444}
				rgb := cam
				rgb.Sampling, rgb.Bits, rgb.Range = RGB, 16, curve.Full
				shot := Shot{Scene: ChartTable(w, h), Frames: 1}
				rangeName := map[curve.Range]string{curve.Narrow: "limited", curve.Full: "full"}[rng]
				format := cam.pixelFormat(false)
				filter := fmt.Sprintf("zscale=matrixin=gbr:rangein=full:matrix=%s:range=%s:dither=none", zimgNames[m.Name],
					rangeName)
				got := ffmpeg(t, raw(Render(rgb, shot, 0)), "-f", "rawvideo", "-pix_fmt", "gbrp16le", "-s",
					fmt.Sprintf("%dx%d", w, h),
					"-i", "-", "-vf", filter+",format="+format, "-f", "rawvideo", "-")
				compareCodes(t, fmt.Sprintf("%s %s %d bits", m.Name, rangeName, bits), got, raw(Render(cam, shot, 0)), bits)
			}
		}
	}
}

func compareCodes(t *testing.T, what string, got, want []byte, bits int) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d bytes, want %d", what, len(got), len(want))
	}
	worst := 0
	for i := 0; i < len(got); {
		var a, b int
		if bits == 8 {
			a, b = int(got[i]), int(want[i])
			i++
		} else {
			a, b = int(binary.LittleEndian.Uint16(got[i:])), int(binary.LittleEndian.Uint16(want[i:]))
			i += 2
		}
		worst = max(worst, a-b, b-a)
	}
	if worst > 1 {
		t.Errorf("%s: zimg's codes are up to %d away", what, worst)
	}
}

// Subsampled chroma sits where libzimg puts it: a ramp of colour across (and down) gives the
// same codes, which it would not if the samples were shifted by half a pixel.
func TestChromaSiting(t *testing.T) {
	linear, err := curve.Find("Linear")
	if err != nil {
		t.Fatal(err)
	}
	const w, h = 96, 64
	for _, s := range []Sampling{S420, S422} {
		cam := Camera{Width: w, Height: h, Curve: linear, Matrix: curve.BT709, Bits: 12, Sampling: s}
		rgb := cam
		rgb.Sampling, rgb.Bits, rgb.Range = RGB, 16, curve.Full
		shot := Shot{Scene: Scene{Parts: []Part{colourRamp{}}}, Frames: 1}
		format := cam.pixelFormat(false)
		got := ffmpeg(t, raw(Render(rgb, shot, 0)), "-f", "rawvideo", "-pix_fmt", "gbrp16le", "-s",
			fmt.Sprintf("%dx%d", w, h),
			"-i", "-", "-vf", "zscale=matrixin=gbr:rangein=full:matrix=709:range=limited:dither=none:"+
				"chromal=left:filter=bilinear,format="+format,
			"-f", "rawvideo", "-")
		ours := Render(cam, shot, 0)
		at := w * h
		for plane := 1; plane < 3; plane++ {
			cw, ch := ours.Width[plane], ours.Height[plane]
			for y := 2; y < ch-2; y++ { // the border's filters differ
				for x := 2; x < cw-2; x++ {
					z := int(binary.LittleEndian.Uint16(got[2*(at+y*cw+x):]))
					if d := z - int(ours.Row(plane, y)[x]); d < -1 || d > 1 {
						t.Fatalf("%s plane %d at %d,%d: zimg %d, ours %d", format, plane, x, y, z, ours.Row(plane, y)[x])
					}
				}
			}
			at += cw * ch
		}
	}
}

// colourRamp changes its colour by 14 chroma codes of 12 bits a pixel across and 7 down.
type colourRamp struct{}

func (colourRamp) Paint(r Row) {
	for i := range r.R {
		v := 0.004*(r.X+float64(i)) + 0.002*r.Y
		r.R[i], r.G[i], r.B[i] = float32(0.3+v), 0.4, float32(0.9-v)
	}
}
