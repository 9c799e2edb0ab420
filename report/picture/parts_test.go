package picture

import (
	"image"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

// The map's ends are its published ends, dark blue and yellow; it rises in lightness all the way,
// and what lies outside has the colour of the nearer end.
func TestCividisEnds(t *testing.T) {
	dark, light := color.RGBA{0x00, 0x20, 0x4d, 255}, color.RGBA{0xff, 0xea, 0x46, 255}
	for at, want := range map[float64]color.RGBA{0: dark, -1: dark, 1: light, 2: light} {
		if got := cividis(at); got != want {
			t.Errorf("at %g: %v, want %v", at, got, want)
		}
	}
	if got := cividis(math.NaN()); got != dark {
		t.Errorf("at no number: %v", got)
	}
	before := -1.0
	for i := range 1001 {
		c := cividis(float64(i) / 1000)
		l := reporttest.Luminance([3]float64{float64(c.R), float64(c.G), float64(c.B)})
		if l < before-0.002 { // 8-bit codes: a channel rounds down while another has not risen yet
			t.Errorf("at %g it falls from %g to %g", float64(i)/1000, before, l)
		}
		before = l
	}
}

// The bands are half stops: each boundary belongs to the band above it.
func TestBands(t *testing.T) {
	if n := len(BandColours()); n != 28 {
		t.Errorf("%d bands, want 28 from 7 stops under to 7 over", n)
	}
	for _, test := range []struct {
		stops curve.Stops
		want  int
	}{{-7, 0}, {-6.51, 0}, {-6.5, 1}, {0, 14}, {-0.01, 13}, {6.99, 27}, {7, 27}, {100, 27}, {-100, 0}} {
		if got := bandOf(test.stops); got != test.want {
			t.Errorf("%v is in band %d, want %d", test.stops, got, test.want)
		}
	}
	palette := mapPalette()
	for i, c := range BandColours() {
		if palette[i] != color.Color(c) {
			t.Errorf("band %d is %v in the map and %v in its key", i, palette[i], c)
		}
	}
}

// Each hatch repeats every nine pixels both ways and leaves most of what is under it to be seen;
// the two run in different directions.
func TestHatches(t *testing.T) {
	const ground = 5
	for name, hatch := range map[string]func(x, y int, ground uint8) uint8{"rising": risingHatch,
		"falling": fallingHatch} {
		covered := 0
		for y := range hatchPeriod {
			for x := range hatchPeriod {
				ink := hatch(x, y, ground)
				if ink != ground {
					covered++
				}
				if hatch(x+hatchPeriod, y, ground) != ink || hatch(x, y+hatchPeriod, ground) != ink {
					t.Fatalf("%s: not the same a period on from %d,%d", name, x, y)
				}
			}
		}
		if share := float64(covered) / (hatchPeriod * hatchPeriod); share < 0.1 || share > 0.5 {
			t.Errorf("%s covers %.0f %%", name, 100*share)
		}
	}
	if risingHatch(1, 0, ground) != risingHatch(0, 1, ground) || fallingHatch(4, 4, ground) != fallingHatch(0, 0,
		ground) {
		t.Error("the hatches do not run in their directions")
	}
}

// Only what lies under the floor on the mean of its square is hatched: a dark pixel in bright ones
// is noise.
func TestUnderFloor(t *testing.T) {
	s := flatStill(12, 6, 0.18) // two squares
	for i := range s.R {
		if i%12 >= 6 {
			s.R[i], s.G[i], s.B[i] = 0.0001, 0.0001, 0.0001
		}
	}
	s.R[0], s.G[0], s.B[0] = 0, 0, 0
	under := underFloor(s, curve.BT709, -5)
	for i, is := range under {
		if want := i%12 >= 6; is != want {
			t.Fatalf("pixel %d under the floor: %v", i, is)
		}
	}
	for name, under := range map[string][]bool{
		"no floor":                      underFloor(s, curve.BT709, curve.Unknown[curve.Stops]()),
		"a still smaller than a square": underFloor(flatStill(5, 5, 0), curve.BT709, 2),
	} {
		for i, is := range under {
			if is {
				t.Errorf("%s: pixel %d is under it", name, i)
				break
			}
		}
	}
}

// Kept light comes back within half a step, below zero too: the slope of the inverse hyperbolic sine is
// 1 / sqrt(light^2 + toe^2).
func TestKeptLight(t *testing.T) {
	var l Levels
	for stops := -16.0; stops < 12; stops += 0.037 {
		light := 0.18 * math.Exp2(stops)
		for _, want := range []float64{light, -light} {
			got := l.Light(kept(float32(want)))
			if step := math.Hypot(light, LevelsToe) / LevelsFine; math.Abs(got-want) > 0.505*step {
				t.Errorf("light %g comes back as %g", want, got)
			}
		}
	}
	if got := l.Light(kept(float32(math.NaN()))); got != 0 {
		t.Errorf("no number comes back as %g", got)
	}
	if low, high := kept(float32(math.Inf(-1))), kept(float32(math.Inf(1))); low != 0 || high != math.MaxUint16 {
		t.Errorf("the ends are %d and %d", low, high)
	}
}

// No sample of a waveform is lost: its columns hold as many as they had, however they are resampled.
func TestWaveformKeepsItsSamples(t *testing.T) {
	w := &still.Waveform{Columns: 8, Levels: 118, First: -8, Step: 1, Counts: make([]uint32, 8*118)}
	for i := range w.Counts {
		w.Counts[i] = uint32(i % 7)
	}
	for _, columns := range []int{8, 4, 2} {
		sums, want := make([]float64, columns), make([]float64, columns)
		for i, d := range waveformDensity(w, columns) {
			sums[i%columns] += d / 3 // a bin of a percent is three rows high
		}
		for i, n := range w.Counts {
			want[i%8*columns/8] += float64(n)
		}
		for i := range sums {
			if math.Abs(sums[i]-want[i]) > 1e-6 {
				t.Errorf("column %d of %d holds %g, want %g", i, columns, sums[i], want[i])
			}
		}
	}
	if img := waveformPicture(&still.Waveform{Columns: 2000, Levels: 1, First: 40, Step: 1, Counts: make([]uint32,
		2000)}); img.Bounds().Dx() != waveformWidth {
		t.Errorf("a wide waveform is %d across", img.Bounds().Dx())
	}
}

// lossy is how far a JPEG of this quality may lie from what it was made of, in codes: flat areas are
// kept to a few (common practice, no source).
const lossy = 4

// The files hold what they are called after: as recorded, and after the advised correction, in flat
// areas to what lossy coding leaves.
func TestFilesHoldTheirPictures(t *testing.T) {
	dir := t.TempDir()
	c := report.Clip{File: report.File{Path: "a.mov"}, Advice: advise.Advice{Action: advise.Pull, Stops: 2}}
	if err := write(dir, &c, &still.Stills{Frame: flatStill(64, 64, 0.18)}); err != nil {
		t.Fatal(err)
	}
	for name, light := range map[string]float64{c.Pictures.Recorded: 0.18, c.Pictures.Thumb: 0.18,
		c.Pictures.After: 0.045} {
		want := 255 * math.Pow(light, 1/2.4) // Recommendation ITU-R BT.1886 (2011), annex 1
		r, g, b, _ := decoded(t, dir, name).At(30, 30).RGBA()
		for _, got := range []uint32{r >> 8, g >> 8, b >> 8} {
			if math.Abs(float64(got)-want) > lossy {
				t.Errorf("%s shows %d, want %.1f", name, got, want)
			}
		}
	}
	if c.Pictures.Waveform != "" || len(c.Pictures.Strips) != 0 {
		t.Errorf("pictures of what there was not: %+v", c.Pictures)
	}
	for _, name := range []string{c.Pictures.StopMap, c.Pictures.Clipped} {
		if !strings.HasSuffix(name, ".png") {
			t.Errorf("%s may lose what is read from it", name)
		}
	}
}

func decoded(t *testing.T, dir, name string) image.Image {
	t.Helper()
	f, err := os.Open(filepath.Join(dir, filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// A clip that was shot upright is shown upright, its strips too.
func TestTurnedPictures(t *testing.T) {
	stills := &still.Stills{Frame: flatStill(40, 20, 0.18), Shadows: &still.Strip{Scene: -4,
		Frames: []still.Still{*flatStill(10, 6, 0.01)}}}
	for deg, upright := range map[int]bool{0: false, 90: true, 180: false, 270: true} {
		dir := t.TempDir()
		c := report.Clip{File: report.File{Path: "a.mov", Rotation: deg}}
		if err := write(dir, &c, stills); err != nil {
			t.Fatal(err)
		}
		frame, strip := decoded(t, dir, c.Pictures.Recorded).Bounds(), decoded(t, dir, c.Pictures.Strips[0].File).Bounds()
		if (frame.Dy() > frame.Dx()) != upright || (strip.Dy() > strip.Dx()) != upright {
			t.Errorf("%d degrees: frame %v, strip %v", deg, frame, strip)
		}
		if r := c.Pictures.Strips[0].Region; r.W != 10 || r.H != 6 {
			t.Errorf("%d degrees: the region %v is not of the frame as coded", deg, r)
		}
	}
}
