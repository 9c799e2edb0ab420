package picture

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/analyze/advise"
	"stopledger/analyze/display"
	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

// cividisTolerance is in 8-bit codes. FFmpeg 5.1's pseudocolor filter computes its cividis from a
// polynomial fitted to the published table, off by up to 8 at the ends; ours joins ten of the
// table's colours by straight lines.
const cividisTolerance = 10

func TestCividisAgreesWithFFmpeg(t *testing.T) {
	ffmpeg, err := exec.LookPath("ffmpeg")
	if err != nil {
		t.Skip("ffmpeg is not installed")
	}
	var ramp []byte
	for range 3 {
		for v := range 256 {
			ramp = append(ramp, byte(v))
		}
	}
	cmd := exec.Command(ffmpeg, "-v", "error", "-f", "rawvideo", "-pix_fmt", "gbrp", "-s", "256x1", "-i", "-",
		"-vf", "pseudocolor=preset=cividis", "-f", "rawvideo", "-pix_fmt", "gbrp", "-")
	cmd.Stdin = bytes.NewReader(ramp)
	out, err := cmd.Output()
	if err != nil || len(out) != 3*256 {
		t.Fatalf("ffmpeg gave %d bytes: %v", len(out), err)
	}
	for v := range 256 {
		c := cividis(float64(v) / 255)
		for k, pair := range [][2]uint8{{c.R, out[512+v]}, {c.G, out[v]}, {c.B, out[256+v]}} {
			if d := math.Abs(float64(pair[0]) - float64(pair[1])); d > cividisTolerance {
				t.Errorf("at %d channel %d is %d, FFmpeg has %d", v, k, pair[0], pair[1])
			}
		}
	}
}

func TestMapBandsRiseEvenlyInLightness(t *testing.T) {
	before := -1.0
	for band := range mapBands {
		c := bandColour(band)
		l := float64(display.Light(reporttest.Luminance([3]float64{float64(c.R), float64(c.G), float64(c.B)})).Lightness())
		if before >= 0 && (l-before < 1.5 || l-before > 5.5) { // 76 of lightness over 28 bands are 2.7 each
			t.Errorf("band %d is %.1f lighter than the one below", band, l-before)
		}
		before = l
	}
}

func TestStopMapMarksBandsFloorAndClipping(t *testing.T) {
	s := flatStill(12, 12, 0.18*math.Exp2(1.1))
	unknown := curve.Unknown[curve.Stops]()
	img := stopMap(s, curve.BT709, unknown)
	if b := img.Bounds(); b.Dx() != 24 || b.Dy() != 24 {
		t.Fatalf("map is %v", b)
	}
	for _, p := range img.Pix {
		if p != uint8(bandOf(1.1)) {
			t.Fatalf("an even still has index %d, want %d", p, bandOf(1.1))
		}
	}
	if low, high := bandOf(curve.Stops(math.Inf(-1))), bandOf(40); low != 0 || high != mapBands-1 {
		t.Errorf("ends are bands %d and %d", low, high)
	}
	if n := inks(stopMap(s, curve.BT709, 2))[hatchLight]; n == 0 {
		t.Error("nothing is hatched under the floor")
	}
	s.Clipped[0] = 2
	counts := inks(stopMap(s, curve.BT709, unknown))
	if counts[hatchDark] == 0 || counts[hatchDark]+counts[hatchLight] > 4 {
		t.Errorf("one clipped pixel has %d dark and %d light pixels", counts[hatchDark], counts[hatchLight])
	}
}

func inks(img *image.Paletted) map[int]int {
	counts := map[int]int{}
	for _, p := range img.Pix {
		counts[int(p)]++
	}
	return counts
}

func flatStill(w, h int, light float64) *still.Still {
	s := &still.Still{Width: w, Height: h, Scale: 1}
	for range w * h {
		s.R, s.G, s.B = append(s.R, float32(light)), append(s.G, float32(light)), append(s.B, float32(light))
		s.Clipped = append(s.Clipped, 0)
	}
	return s
}

func TestClippedOverlayIsClearWhereNothingClipped(t *testing.T) {
	s := flatStill(40, 20, 1)
	for i := range s.Clipped {
		if i%40 >= 20 {
			s.Clipped[i] = 7
		}
	}
	img := clippedOverlay(s)
	hatched := 0
	for y := range 20 {
		for x := range 40 {
			_, _, _, a := img.At(x, y).RGBA()
			if x < 20 && a != 0 {
				t.Fatalf("pixel %d,%d is covered", x, y)
			}
			if a != 0 {
				hatched++
			}
		}
	}
	if hatched < 100 || hatched > 350 {
		t.Errorf("%d of 400 clipped pixels are hatched", hatched)
	}
}

// Levels come back block by block, turned as the picture is, and the page's own form of them holds the same.
func TestLevelsRoundTrip(t *testing.T) {
	s := reporttest.Scene{Exposure: 1, Sky: 5, Ceiling: 5.6, Read: 1e-3, Shot: 2e-5, Seed: 9}.Still(0, 0, 96, 54, 96,
		54, 1, 0)
	g := reporttest.Grid(&s, 3)
	for _, deg := range []int{0, 90, 180, 270} {
		var file bytes.Buffer
		if err := png.Encode(&file, levelsOf(g, deg).picture()); err != nil {
			t.Fatal(err)
		}
		l, err := ReadLevels(&file)
		if err != nil {
			t.Fatal(err)
		}
		if upright := deg%180 == 90; upright != (l.Width == 18 && l.Height == 32) {
			t.Fatalf("%d degrees: %d x %d blocks", deg, l.Width, l.Height)
		}
		for i := range l.Planes[0] {
			x, y := i%l.Width, i/l.Width
			from := map[int]int{0: y*32 + x, 90: (17-x)*32 + y, 180: (17-y)*32 + 31 - x, 270: x*32 + 31 - y}[deg]
			for k, plane := range [][]float32{g.Luma, g.R, g.G, g.B, g.Spread} {
				got, want := l.Light(l.Planes[k][i]), float64(plane[from])
				step := 1.0
				if k == levelsSpread {
					step = spreadStep
				}
				if math.Abs(got-want) > (step+1)/2*1.02*math.Hypot(want, LevelsToe)/LevelsFine+1e-9 {
					t.Fatalf("%d degrees, block %d, plane %d: %g, want %g", deg, i, k, got, want)
				}
			}
			if l.Planes[levelsClipped][i] != uint16(g.Clipped[from]) {
				t.Fatalf("%d degrees, block %d: marks %d, want %d", deg, i, l.Planes[levelsClipped][i], g.Clipped[from])
			}
		}
		if got := unpacked(t, l); !cmp.Equal(got, l) {
			t.Errorf("%d degrees: a page has other levels", deg)
		}
	}
	if _, err := ReadLevels(strings.NewReader("no picture")); err == nil {
		t.Error("what is no picture was read")
	}
}

// Blocks twice as large hold the mean of four, and of those that were last as coded none, however it is turned.
func TestHalvedLevels(t *testing.T) {
	s := reporttest.Scene{Exposure: 1, Sky: 5, Ceiling: 5.6, Read: 1e-3, Shot: 2e-5, Seed: 9}.Still(0, 0, 105, 63, 105,
		63, 1, 0)
	small, large := reporttest.Grid(&s, 3), reporttest.Grid(&s, 6) // 35 x 21 and 17 x 10 blocks
	for _, deg := range []int{0, 90, 180, 270} {
		got, want := levelsOf(small, deg).halved(deg), levelsOf(large, deg)
		if got.Width != want.Width || got.Height != want.Height {
			t.Fatalf("%d degrees: %d x %d blocks, want %d x %d", deg, got.Width, got.Height, want.Width, want.Height)
		}
		for k := range got.Planes {
			for i, v := range got.Planes[k] {
				if d := math.Abs(float64(v) - float64(want.Planes[k][i])); k != levelsSpread && d > 1 {
					t.Fatalf("%d degrees, plane %d, block %d: off by %g steps", deg, k, i, d)
				}
			}
		}
	}
}

// The spread of a block twice as large is what its four blocks spread and differ, but for the steps in which
// each is kept: 3 % of a spread, and 0.4 % of light.
func TestHalvedSpread(t *testing.T) {
	s := reporttest.Scene{Exposure: 1, Sky: 5, Ceiling: 5.6, Read: 2e-2, Shot: 1e-3, Seed: 9}.Still(0, 0, 96, 54, 96,
		54, 1, 0)
	got, want := levelsOf(reporttest.Grid(&s, 3), 0).halved(0), reporttest.Grid(&s, 6)
	for i, spread := range want.Spread {
		tolerance := 0.07*float64(spread) + 0.008*math.Abs(float64(want.Luma[i])) + LevelsToe/16
		if v := got.Light(got.Planes[levelsSpread][i]); math.Abs(v-float64(spread)) > tolerance {
			t.Fatalf("block %d spreads by %g, want %g", i, v, spread)
		}
	}
}

// unpacked reads what a page is given, by the description of Packed.
func unpacked(t *testing.T, l *Levels) *Levels {
	t.Helper()
	from, err := zlib.NewReader(bytes.NewReader(l.Packed()))
	if err != nil {
		t.Fatal(err)
	}
	data, err := io.ReadAll(from)
	if err != nil {
		t.Fatal(err)
	}
	out, n := &Levels{Width: l.Width, Height: l.Height}, len(data)/2
	values, size := make([]uint16, n), l.Width*l.Height
	for i := range values {
		values[i] = uint16(data[i])<<8 | uint16(data[n+i])
		if i < 6*size && i%size > 0 || i > 6*size {
			values[i] += values[i-1]
		}
	}
	for k := range out.Planes {
		out.Planes[k] = values[k*size : (k+1)*size]
	}
	for i, luma := range out.Planes[0] {
		for k := 1; k <= 3; k++ {
			out.Planes[k][i] += luma
		}
	}
	out.Codes = values[6*size:]
	return out
}

// A frame at full resolution keeps its noise and is not larger than it may be: what is left of the noise
// of a grey frame is at least three quarters of it where the frame is not too heavy.
func TestFullFrame(t *testing.T) {
	s := reporttest.Scene{Exposure: 0, Sky: 2, Ceiling: 5.6, Read: 4e-3, Shot: 1e-4, Seed: 3}.Still(700, 320, 640, 360,
		1920, 1080, 1, 0)
	img := rendered(&s, nil, 0)
	data, err := within(img)
	if err != nil {
		t.Fatal(err)
	}
	coded, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	made, left := grain(img), grain(coded)
	t.Logf("%d bytes; noise ±%.2f, left ±%.2f codes", len(data), made, left)
	if left < 0.75*made {
		t.Errorf("of noise of ±%.2f codes ±%.2f are left", made, left)
	}
	if testing.Short() {
		return
	}
	heavy := image.NewRGBA(image.Rect(0, 0, 2400, 1350))
	random := rand.New(rand.NewPCG(1, 2))
	for i := range heavy.Pix {
		heavy.Pix[i] = uint8(random.IntN(256))
	}
	if data, err = within(heavy); err != nil {
		t.Fatal(err)
	}
	if n := len(data); n > mostBytes {
		t.Errorf("a frame of noise has %d bytes, more than %d", n, mostBytes)
	}
}

// grain is how far the green of a pixel lies from its right neighbour's, as root mean square over root 2.
func grain(img image.Image) float64 {
	b, sum, n := img.Bounds(), 0.0, 0.0
	for y := range b.Dy() {
		for x := range b.Dx() - 1 {
			_, g, _, _ := img.At(x, y).RGBA()
			_, next, _, _ := img.At(x+1, y).RGBA()
			d := float64(g>>8) - float64(next>>8)
			sum, n = sum+d*d, n+1
		}
	}
	return math.Sqrt(sum / n / 2)
}

func TestWaveformLiesAtItsLevels(t *testing.T) {
	w := &still.Waveform{Columns: 4, Levels: 236, First: -8, Step: 0.5, Counts: make([]uint32, 4*236)}
	w.Counts[96*4+2] = 50 // 40.0 to 40.5 percent in the third column
	img := waveformPicture(w)
	for y := range waveformRows {
		percent := WaveformHigh - (float64(y)+0.5)*(WaveformHigh-WaveformLow)/waveformRows
		for x := range 4 {
			lit := img.ColorIndexAt(x, y) != 0
			if want := x == 2 && percent > 40 && percent < 40.5; lit != want && math.Abs(percent-40.25) > 0.45 {
				t.Errorf("row %d (%.2f %%), column %d: lit is %v", y, percent, x, lit)
			} else if math.Abs(percent-40.25) < 0.1 && x == 2 && !lit {
				t.Errorf("the level is not drawn at %.2f %%", percent)
			}
		}
	}
}

// Each pixel of each frame stands once in a strip, as it shows.
func TestStripHasEachPixelOnce(t *testing.T) {
	s := reporttest.Scene{Ceiling: 5.6, Read: 2e-3, Shot: 6e-5, Seed: 3}
	var frames []*still.Still
	for i := range uint64(3) {
		f := s.Still(420, 780, 8, 6, 1920, 1080, 1, i)
		frames = append(frames, &f)
	}
	img := stripPicture(frames, nil, 1)
	if b := img.Bounds(); b.Dx() != 3*8 || b.Dy() != 6 {
		t.Fatalf("strip is %v", b)
	}
	for i, f := range frames {
		want := rendered(f, nil, 1)
		for y := range 6 {
			for x := range 8 {
				if got := img.RGBAAt(i*8+x, y); got != want.RGBAAt(x, y) {
					t.Fatalf("frame %d at %d,%d is %v", i, x, y, got)
				}
			}
		}
	}
}

// write renders pictures and writes them, as a run does.
func write(dir string, c *report.Clip, stills *still.Stills) error {
	rendered, err := Render(c, stills, nil)
	if err != nil || rendered == nil {
		return err
	}
	if err := rendered.Write(dir); err != nil {
		return err
	}
	c.Pictures = &rendered.Names
	return nil
}

func TestWrite(t *testing.T) {
	dir := t.TempDir()
	doc := reporttest.Shoot(t)
	c := doc.Clips[0]
	if err := write(dir, &c, reporttest.ShootStills(doc)[c.Path]); err != nil {
		t.Fatal(err)
	}
	p := c.Pictures
	if len(p.Strips) != 4 || !curve.Finite(p.Strips[1].SNR) {
		t.Fatalf("strips are %+v", p.Strips)
	}
	names := []string{p.Thumb, p.Recorded, p.After, p.StopMap, p.Clipped, p.Waveform, p.Levels,
		p.Channels, p.FullRecorded, p.FullAfter}
	for _, s := range p.Strips {
		names = append(names, s.File)
	}
	for _, name := range names {
		f, err := os.Open(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		if _, _, err := image.Decode(f); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		f.Close()
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*", ".*")); len(left) > 0 {
		t.Errorf("temporary files are left: %v", left)
	}
}

func TestWritePicturesRefusesStillsThatDoNotFit(t *testing.T) {
	s := flatStill(4, 4, 0.18)
	s.G = s.G[:3]
	c := report.Clip{File: report.File{Path: "a.mov"}}
	if err := write(t.TempDir(), &c, &still.Stills{Frame: s}); err == nil || !strings.Contains(err.Error(), "a.mov") {
		t.Errorf("error is %v", err)
	}
	if err := write(t.TempDir(), &c, nil); err != nil || c.Pictures != nil {
		t.Errorf("no stills: %v, %v", err, c.Pictures)
	}
}

// Pixels of a rendered still are the display's signal of its light after the change, x 255, rounded:
// Recommendation ITU-R BT.1886 (2011), annex 1, with a shoulder of 0.4 (1 - exp(-(L-0.6)/0.4))
// above a light of 0.6. A float32 holds light so well that only what falls on a half may round
// the other way.
func TestRenderedPixels(t *testing.T) {
	s := reporttest.Scene{Exposure: 1, Sky: 4, Ceiling: 5.6, Read: 1e-3, Shot: 2e-5, Seed: 4}.Still(0, 0, 64, 36, 64,
		36, 1, 0)
	for _, change := range []curve.Stops{0, -1.31, 2} {
		img := rendered(&s, nil, change)
		for i := range s.R {
			pixel := img.RGBAAt(i%64, i/64)
			for k, pair := range []struct {
				light float32
				code  uint8
			}{{s.R[i], pixel.R}, {s.G[i], pixel.G}, {s.B[i], pixel.B}} {
				light := math.Max(float64(pair.light)*math.Exp2(float64(change)), 0)
				if light > 0.6 {
					light = 0.6 + 0.4*(1-math.Exp(-(light-0.6)/0.4))
				}
				want := 255 * math.Pow(math.Min(light, 1), 1/2.4)
				if math.Abs(want-float64(pair.code)) > 0.5001 {
					t.Fatalf("%+.2f stops, pixel %d channel %d: light %g shows as %d, want %.3f", change, i, k, pair.light,
						pair.code, want)
				}
			}
			if pixel.A != 255 {
				t.Fatalf("pixel %d is not opaque", i)
			}
		}
	}
}

// What is no light, or no number, shows black and is mapped to the lowest band.
func TestPicturesOfNoLight(t *testing.T) {
	for _, light := range []float64{0, -1, math.NaN(), math.Inf(-1)} {
		s := flatStill(12, 12, light)
		if got := rendered(s, nil, 2).RGBAAt(3, 3); got.R != 0 || got.G != 0 || got.B != 0 {
			t.Errorf("light %g shows as %v", light, got)
		}
		if got := stopMap(s, curve.BT709, curve.Unknown[curve.Stops]()).Pix[0]; got != 0 {
			t.Errorf("light %g has band %d", light, got)
		}
	}
	if got := rendered(flatStill(1, 1, math.Inf(1)), nil, 0).RGBAAt(0, 0).R; got != 255 {
		t.Errorf("infinite light shows as %d", got)
	}
}

// A light is mapped to the half stop it lies in, whatever the matrix, as long as it is neutral; a
// colour counts by the matrix's weights.
func TestStopMapFollowsTheMatrix(t *testing.T) {
	for stops := -6.75; stops < 7; stops += 0.5 {
		for _, m := range []curve.Matrix{curve.BT601, curve.BT709, curve.BT2020} {
			s := flatStill(2, 2, 0.18*math.Exp2(stops))
			if got, want := int(stopMap(s, m, curve.Unknown[curve.Stops]()).Pix[0]), int(2*(stops+7)); got != want {
				t.Errorf("%+.2f stops with %s is in band %d, want %d", stops, m.Name, got, want)
			}
		}
	}
	red := flatStill(1, 1, 0)
	red.R[0] = 0.18
	// Recommendations ITU-R BT.601-7 (2.5.1), BT.709-6 (3.2) and BT.2020-2 (table 4): red counts
	// 0.299, 0.2126 and 0.2627.
	for _, want := range []struct {
		matrix curve.Matrix
		weight float64
	}{{curve.BT601, 0.299}, {curve.BT709, 0.2126}, {curve.BT2020, 0.2627}} {
		if got := stopsOf(red, want.matrix)[0]; math.Abs(float64(got)-math.Log2(want.weight)) > 1e-6 {
			t.Errorf("red with %s is at %.4f stops, want %.4f", want.matrix.Name, got, math.Log2(want.weight))
		}
	}
	for name, want := range map[string]curve.Matrix{"bt601": curve.BT601, "bt2020": curve.BT2020, "": curve.BT709,
		"other": curve.BT709} {
		c := &report.Clip{}
		c.Matrix.Value = name
		if got := matrixOf(c); got != want {
			t.Errorf("matrix %q is taken for %s", name, got.Name)
		}
	}
}

// The dark area is shown as recorded, after the correction and under each lift that the noise was
// worked out for, with the SNR of the document at the tone it shows; without any under one and two
// stops, with no SNR made up.
func TestChangesShown(t *testing.T) {
	c := &reporttest.Shoot(t).Clips[0]
	tone := func(snr float64) []advise.GradedTone {
		return []advise.GradedTone{{Scene: -5, SNR: 1}, {Scene: -4, SNR: curve.Decibels(snr)}, {Scene: -3,
			SNR: curve.Unknown[curve.Decibels]()}}
	}
	c.Noise.Graded = []advise.Graded{{Name: "as recorded", Tones: tone(20)}, {Name: "advised",
		Stops: c.Advice.Correction(), Tones: tone(20)},
		{Name: "lift +3", Stops: 3, Tones: tone(20)}, {Name: "again", Stops: 3.001, Tones: tone(20)}}
	var got []string
	for _, as := range changesShown(c, -4.2) {
		got = append(got, fmt.Sprintf("%s %.2f %v", as.name, as.stops, as.snr))
	}
	want := []string{"recorded 0.00 16 dB", "after -1.31 16 dB", "lift +3 3.00 16 dB"} // 1 + 0.8 x 19
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	c.Noise.Graded, c.Advice.Action = nil, advise.Hold
	got = nil
	for _, as := range changesShown(c, -4.2) {
		got = append(got, fmt.Sprintf("%s %.0f %v", as.name, as.stops, as.snr))
	}
	if want := []string{"recorded 0 -", "lift +1 1 -", "lift +2 2 -"}; !slices.Equal(got, want) {
		t.Errorf("nothing graded: got %q, want %q", got, want)
	}
}

// Pictures in a folder that cannot be made are an error that says what to do.
func TestWriteWhereItCannot(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, report.PictureFolder), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	c := report.Clip{File: report.File{Path: "a.mov"}}
	err := write(dir, &c, &still.Stills{Frame: flatStill(4, 4, 0.18)})
	if err == nil || !strings.Contains(err.Error(), "--out") || c.Pictures != nil {
		t.Errorf("error is %v, pictures %v", err, c.Pictures)
	}
}

// A document of which no number is known still has its pictures.
func TestPicturesOfUnknown(t *testing.T) {
	stills := reporttest.ShootStills(reporttest.Shoot(t))[reporttest.Shoot(t).Clips[0].Path]
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		doc := reporttest.Unknown(v)
		c := &doc.Clips[0]
		if err := write(t.TempDir(), c, stills); err != nil ||
			len(c.Pictures.Strips) == 0 {
			t.Errorf("with %g: %v", v, err)
		}
	}
}
