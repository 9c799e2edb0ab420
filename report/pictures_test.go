package report

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze"
)

func TestDisplayCodeRoundsTheSignal(t *testing.T) {
	for i := range 4000 {
		light := math.Exp2(-14+float64(i)/200) * nominalGrey
		want := uint8(math.Round(analyze.DisplaySignal(analyze.DisplayLight(light)) * 255))
		got := displayCode(float32(light))
		if d := int(got) - int(want); d != 0 && !nearHalf(light) {
			t.Errorf("light %g shows as %d, want %d", light, got, want)
		}
	}
	for _, dark := range []float32{0, -1, float32(math.NaN()), float32(math.Inf(-1))} {
		if got := displayCode(dark); got != 0 {
			t.Errorf("%g shows as %d, want black", dark, got)
		}
	}
	if got := displayCode(float32(math.Inf(1))); got != 255 {
		t.Errorf("infinite light shows as %d", got)
	}
}

// nearHalf tells whether light lies so near a step that a float32 may fall on its other side.
func nearHalf(light float64) bool {
	v := analyze.DisplaySignal(analyze.DisplayLight(light)) * 255
	return math.Abs(v-math.Floor(v)-0.5) < 1e-4
}

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
		l := analyze.Lightness(luminance([3]float64{float64(c.R), float64(c.G), float64(c.B)}))
		if before >= 0 && (l-before < 1.5 || l-before > 5.5) { // 76 of lightness over 28 bands are 2.7 each
			t.Errorf("band %d is %.1f lighter than the one below", band, l-before)
		}
		before = l
	}
}

func TestStopMapMarksBandsFloorAndClipping(t *testing.T) {
	s := flatStill(12, 12, 0.18*math.Exp2(1.1))
	img := stopMap(s, "bt709", nil)
	if b := img.Bounds(); b.Dx() != 24 || b.Dy() != 24 {
		t.Fatalf("map is %v", b)
	}
	for _, p := range img.Pix {
		if p != uint8(bandOf(1.1)) {
			t.Fatalf("an even still has index %d, want %d", p, bandOf(1.1))
		}
	}
	if low, high := bandOf(math.Inf(-1)), bandOf(40); low != 0 || high != mapBands-1 {
		t.Errorf("ends are bands %d and %d", low, high)
	}
	floor := 2.0
	if n := inks(stopMap(s, "bt709", &floor))[hatchLight]; n == 0 {
		t.Error("nothing is hatched under the floor")
	}
	s.Clipped[0] = 2
	counts := inks(stopMap(s, "bt709", nil))
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

func flatStill(w, h int, light float64) *analyze.Still {
	s := &analyze.Still{Width: w, Height: h, Scale: 1}
	for range w * h {
		s.R, s.G, s.B = append(s.R, float32(light)), append(s.G, float32(light)), append(s.B, float32(light))
		s.Code, s.Clipped = append(s.Code, inventedCode(light)), append(s.Clipped, 0)
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

func TestLevelsRoundTrip(t *testing.T) {
	s := inventedScene{exposure: 1, sky: 5, ceiling: 5.6, read: 1e-3, shot: 2e-5, seed: 9}.still(0, 0, 96, 54, 96, 54, 1, 0)
	var file bytes.Buffer
	if err := png.Encode(&file, levelsPicture(&s, "bt709")); err != nil {
		t.Fatal(err)
	}
	w, h, cells, err := readLevels(&file)
	if err != nil || w != 96 || h != 54 {
		t.Fatalf("%d x %d: %v", w, h, err)
	}
	for i, stops := range stopsOf(&s, "bt709") {
		level, high, low := cells[3*i], cells[3*i+1], cells[3*i+2]
		if code := uint16(high&3)<<8 | uint16(low); code != s.Code[i] {
			t.Fatalf("cell %d has code %d, want %d", i, code, s.Code[i])
		}
		if high>>2 != s.Clipped[i] {
			t.Fatalf("cell %d has marks %d, want %d", i, high>>2, s.Clipped[i])
		}
		if got := levelsFirst + float64(level-1)*levelsStep; math.Abs(got-stops) > levelsStep/2+1e-9 && stops > levelsFirst {
			t.Fatalf("cell %d has %g stops, want %g", i, got, stops)
		}
	}
	if _, _, _, err := readLevels(strings.NewReader("no picture")); err == nil {
		t.Error("what is no picture was read")
	}
}

func TestWaveformLiesAtItsLevels(t *testing.T) {
	w := &analyze.Waveform{Columns: 4, Levels: 236, First: -8, Step: 0.5, Counts: make([]uint32, 4*236)}
	w.Counts[96*4+2] = 50 // 40.0 to 40.5 percent in the third column
	img := waveformPicture(w)
	for y := range waveformRows {
		percent := waveformHigh - (float64(y)+0.5)*(waveformHigh-waveformLow)/waveformRows
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

func TestStripRepeatsPixelsWithoutMixing(t *testing.T) {
	s := inventedScene{ceiling: 5.6, read: 2e-3, shot: 6e-5, seed: 3}
	var frames []*analyze.Still
	for i := range uint64(3) {
		f := s.still(420, 780, 8, 6, 1920, 1080, 1, i)
		frames = append(frames, &f)
	}
	img := stripPicture(frames, 1)
	if b := img.Bounds(); b.Dx() != 3*8*stripScale || b.Dy() != 6*stripScale {
		t.Fatalf("strip is %v", b)
	}
	for i, f := range frames {
		want := rendered(f, 1)
		for y := range 6 * stripScale {
			for x := range 8 * stripScale {
				if got := img.RGBAAt(i*8*stripScale+x, y); got != want.RGBAAt(x/stripScale, y/stripScale) {
					t.Fatalf("frame %d at %d,%d is %v", i, x, y, got)
				}
			}
		}
	}
}

func TestWritePictures(t *testing.T) {
	dir := t.TempDir()
	doc := readShoot(t)
	c := doc.Clips[0]
	if err := WritePictures(dir, &c, shootStills(&doc)[c.Path]); err != nil {
		t.Fatal(err)
	}
	p := c.Pictures
	if len(p.Strips) != 4 || p.Strips[1].SNR == nil {
		t.Fatalf("strips are %+v", p.Strips)
	}
	names := []string{p.Thumb, p.Recorded, p.After, p.StopMap, p.Clipped, p.Waveform, p.Levels}
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
	c := Clip{Path: "a.mov"}
	if err := WritePictures(t.TempDir(), &c, &analyze.Stills{Frame: s}); err == nil || !strings.Contains(err.Error(), "a.mov") {
		t.Errorf("error is %v", err)
	}
	if err := WritePictures(t.TempDir(), &c, nil); err != nil || c.Pictures != nil {
		t.Errorf("no stills: %v, %v", err, c.Pictures)
	}
}
