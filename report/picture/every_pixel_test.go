package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/analyze/display"
	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

// randomStill has light over twenty stops, some of it none, and marks of clipping.
func randomStill(random *rand.Rand, w, h int) *still.Still {
	s := &still.Still{Width: w, Height: h, Scale: 1, X: 8, Y: 4}
	light := func() float32 { return float32(0.18*math.Exp2(20*random.Float64()-10)) * float32(random.IntN(9)/2) / 4 }
	for range w * h {
		s.R, s.G, s.B = append(s.R, light()), append(s.G, light()), append(s.B, light())
		s.Clipped = append(s.Clipped, uint8(random.IntN(8)*random.IntN(2)*random.IntN(2)))
	}
	return s
}

// Every pixel of the map has the colour of its half stop in the key, worked out from its light by
// log2(light / 0.18), or the ink of a hatch; hatches lie only where it clipped or is under the floor.
func TestStopMapPixelByPixel(t *testing.T) {
	keys := BandColours()
	for seed := range uint64(12) {
		s := randomStill(rand.New(rand.NewPCG(seed, 101)), 31, 17)
		img := stopMap(s, curve.BT709, curve.Unknown[curve.Stops]())
		for y := range 34 {
			for x := range 62 {
				i := y/2*31 + x/2
				light := 0.2126*float64(s.R[i]) + 0.7152*float64(s.G[i]) + 0.0722*float64(s.B[i])
				at := (math.Log2(light/0.18) + 7) * 2
				if math.Abs(at-math.Round(at)) < 1e-3 {
					continue // on the edge of a half stop either is right
				}
				want := color.Color(keys[int(min(max(math.Floor(at), 0), 27))])
				got := img.At(x, y)
				if ink := img.ColorIndexAt(x, y); ink >= mapBands && s.Clipped[i] == 0 || ink < mapBands && got != want {
					t.Fatalf("seed %d, pixel %d,%d of light %g: %v, want %v", seed, x, y, light, got, want)
				}
			}
		}
	}
}

// The key's colours are those of the cividis map in the middle of each half stop: between the two
// of its ten published colours that lie around it, and where one falls on a published colour, that.
func TestBandColoursAreCividis(t *testing.T) {
	for band, c := range BandColours() {
		at := (float64(band) + 0.5) / 28 * 9
		low, high := cividisPoints[int(at)], cividisPoints[min(int(at)+1, 9)]
		for k, got := range []uint8{c.R, c.G, c.B} {
			if float64(got) < min(low[k], high[k])-0.5 || float64(got) > max(low[k], high[k])+0.5 {
				t.Errorf("band %d has %d in channel %d, its neighbours %g and %g", band, got, k, low[k], high[k])
			}
		}
	}
	for i, p := range cividisPoints {
		if c := cividis(float64(i) / 9); float64(c.R) != p[0] || float64(c.G) != p[1] || float64(c.B) != p[2] {
			t.Errorf("point %d is %v, published is %v", i, c, p)
		}
	}
}

// A reduced still has the mean light and code of each square and all its marks, square by square;
// what does not fill one is left out, and one that is narrow enough stays as it is.
func TestReducedSquareBySquare(t *testing.T) {
	for seed := range uint64(30) {
		random := rand.New(rand.NewPCG(seed, 102))
		w, h, most := 1+random.IntN(60), 1+random.IntN(40), 1+random.IntN(40)
		s := randomStill(random, w, h)
		r := reduced(s, most)
		n := (w + most - 1) / most
		if n == 1 || h < n {
			if r != s {
				t.Errorf("seed %d: %d x %d for %d across is another still", seed, w, h, most)
			}
			continue
		}
		if r.Width != w/n || r.Height != h/n || r.Width > most || r.Scale != float64(n) || r.X != s.X || r.Y != s.Y {
			t.Fatalf("seed %d: %d x %d became %d x %d, scale %g", seed, w, h, r.Width, r.Height, r.Scale)
		}
		for i := range r.R {
			var red, blue float64
			marks := uint8(0)
			for j := range n * n {
				from := (i/r.Width*n+j/n)*w + i%r.Width*n + j%n
				red, blue = red+float64(s.R[from]), blue+float64(s.B[from])
				marks |= s.Clipped[from]
			}
			area := float64(n * n)
			if math.Abs(float64(r.R[i])-red/area) > 1e-5*red || math.Abs(float64(r.B[i])-blue/area) > 1e-5*blue ||
				r.Clipped[i] != marks {
				t.Fatalf("seed %d: square %d holds %g, %g, marks %03b", seed, i, r.R[i], r.B[i], r.Clipped[i])
			}
		}
	}
}

// Turned four times by a right angle a still is itself again; twice by a right angle is once by
// two, and the other way round undoes it.
func TestTurningIsAGroup(t *testing.T) {
	same := func(a, b *still.Still) bool {
		for i := range a.R {
			if a.R[i] != b.R[i] || a.G[i] != b.G[i] || a.B[i] != b.B[i] || a.Clipped[i] != b.Clipped[i] {
				return false
			}
		}
		return a.Width == b.Width && a.Height == b.Height && a.X == b.X && a.Y == b.Y
	}
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 103))
		s := randomStill(random, 1+random.IntN(12), 1+random.IntN(12))
		quarter := turned(s, 90)
		if !same(turned(quarter, 90), turned(s, 180)) || !same(turned(quarter, 270), s) ||
			!same(turned(turned(s, 180), 180), s) || !same(turned(turned(quarter, 90), 90), turned(s, 270)) {
			t.Errorf("seed %d: %d x %d", seed, s.Width, s.Height)
		}
		// Clockwise: the left lower corner becomes the left upper one.
		if quarter.R[0] != s.R[(s.Height-1)*s.Width] {
			t.Errorf("seed %d: turned the wrong way", seed)
		}
	}
}

// The strips show what was recorded first, then the advised correction, then the lifts, no change
// twice, each at the change it says: light 0.18 reads the display's code of 0.18 x 2^change.
func TestStripsShowTheirChange(t *testing.T) {
	for _, tc := range []struct {
		advice advise.Advice
		lifts  []curve.Stops
		want   []curve.Stops
	}{
		{advise.Advice{Action: advise.Hold}, nil, []curve.Stops{0, 1, 2}},
		{advise.Advice{Action: advise.Pull, Stops: 1.3}, nil, []curve.Stops{0, -1.3, 1, 2}},
		{advise.Advice{Action: advise.Lift, Stops: 1}, nil, []curve.Stops{0, 1, 2}},
		{advise.Advice{Action: advise.Lift, Stops: 0.8}, []curve.Stops{3, 0.8}, []curve.Stops{0, 0.8, 3}},
		{advise.Advice{Action: advise.Pull, Stops: 2}, []curve.Stops{-2, 0, 1.5}, []curve.Stops{0, -2, 1.5}},
	} {
		c := &report.Clip{Advice: tc.advice}
		for _, lift := range tc.lifts {
			c.Noise.Graded = append(c.Noise.Graded, advise.Graded{Name: "lift", Stops: lift})
		}
		shown := changesShown(c, -4)
		if len(shown) != len(tc.want) {
			t.Errorf("%+v: %+v", tc.advice, shown)
			continue
		}
		for i, as := range shown {
			if math.Abs(float64(as.stops-tc.want[i])) > 1e-9 || as.name == "" {
				t.Errorf("%+v: strip %d is %+v, want %v stops", tc.advice, i, as, tc.want[i])
			}
			img := stripPicture([]*still.Still{flatStill(3, 2, 0.18)}, nil, as.stops)
			want := display.Code(curve.Light(0.18 * math.Exp2(float64(as.stops))))
			if got := img.RGBAAt(2, 1).G; math.Abs(float64(got)-float64(want)) > 1 {
				t.Errorf("%v stops: grey shows as %d, want %d", as.stops, got, want)
			}
		}
	}
}

// The noise beside a strip is that of the tone of the scene, between whole stops on a line, under that very
// change; beyond the last tone known it is that one's for half a stop.
func TestNoiseBesideAStrip(t *testing.T) {
	c := &report.Clip{}
	for _, change := range []curve.Stops{0, 2} {
		g := advise.Graded{Stops: change}
		for tone := -6; tone <= 0; tone++ {
			g.Tones = append(g.Tones, advise.GradedTone{Scene: curve.Stops(tone),
				SNR: curve.Decibels(100*float64(change) + float64(tone))})
		}
		c.Noise.Graded = append(c.Noise.Graded, g)
	}
	for _, tc := range []struct {
		change, scene curve.Stops
		want          float64
	}{{0, -4, -4}, {0, -3.7, -3.7}, {2, -3.4, 196.6}, {2, 0.5, 200}, {0, 0.51, math.NaN()}, {0, -7, math.NaN()},
		{1, -4, math.NaN()}} {
		got := float64(snrNear(c, tc.change, tc.scene))
		if !(math.Abs(got-tc.want) < 1e-9) && !(math.IsNaN(got) && math.IsNaN(tc.want)) {
			t.Errorf("%v stops at scene %v: %g dB, want %g", tc.change, tc.scene, got, tc.want)
		}
	}
}

// A picture that holds no levels as they are written, or is cut off, is refused, not read.
func TestForeignLevelsAreRefused(t *testing.T) {
	for name, img := range map[string]image.Image{"colours": image.NewRGBA(image.Rect(0, 0, 192, 108)),
		"8 bits": image.NewGray(image.Rect(0, 0, 192, 6*108+6)), "no rows": image.NewGray16(image.Rect(0, 0, 192, 6)),
		"rows that are not planes": image.NewGray16(image.Rect(0, 0, 192, 6*108+7))} {
		var file bytes.Buffer
		if err := png.Encode(&file, img); err != nil {
			t.Fatal(err)
		}
		if _, err := ReadLevels(&file); err == nil {
			t.Errorf("%s: read", name)
		}
	}
	var file bytes.Buffer
	if err := png.Encode(&file, levelsOf(reporttest.Grid(flatStill(192, 108, 0.18), 1), 0).picture()); err != nil {
		t.Fatal(err)
	}
	for _, n := range []int{0, 8, 33, file.Len() / 2, file.Len() - 13} {
		if _, err := ReadLevels(bytes.NewReader(file.Bytes()[:n])); err == nil {
			t.Errorf("the first %d of %d bytes are read", n, file.Len())
		}
	}
}

// The overlay of clipping is one hatch where some channels clip and two where all do, never without
// a mark, whatever the pixel.
func TestOverlayPixelByPixel(t *testing.T) {
	for seed := range uint64(8) {
		s := randomStill(rand.New(rand.NewPCG(seed, 104)), 40, 30)
		img := clippedOverlay(s)
		for i, marks := range s.Clipped {
			x, y := i%40, i/40
			rising, falling := (x+y)%9 < 4, ((x-y)%9+9)%9 < 4
			want := marks != 0 && rising || marks == 7 && falling
			if _, _, _, alpha := img.At(x, y).RGBA(); (alpha != 0) != want {
				t.Fatalf("seed %d: pixel %d,%d with marks %03b is covered: %v", seed, x, y, marks, alpha != 0)
			}
		}
	}
}

// Pictures of one clip have names of their own in the report's folder, and a second clip's do not
// take them.
func TestNamesOfPicturesDiffer(t *testing.T) {
	dir, seen := t.TempDir(), map[string]bool{}
	for _, path := range []string{"a/take.mov", "b/take.mov", "a/take 2.mov"} {
		c := report.Clip{File: report.File{Path: path}}
		stills := &still.Stills{Frame: flatStill(40, 20, 0.18),
			Shadows:  &still.Strip{Scene: -4, Frames: []still.Still{*flatStill(10, 6, 0.01)}},
			Waveform: &still.Waveform{Columns: 4, Levels: 2, First: 40, Step: 1, Counts: make([]uint32, 8)},
			Grid:     reporttest.Grid(flatStill(40, 20, 0.18), 4)}
		if err := write(dir, &c, stills); err != nil {
			t.Fatal(err)
		}
		names := []string{c.Pictures.Thumb, c.Pictures.Recorded, c.Pictures.After, c.Pictures.StopMap, c.Pictures.Clipped,
			c.Pictures.Levels, c.Pictures.Waveform, c.Pictures.FullRecorded}
		for _, strip := range c.Pictures.Strips {
			names = append(names, strip.File)
		}
		for _, name := range names {
			if seen[name] || name == "" {
				t.Errorf("%s: the name %q is taken", path, name)
			}
			seen[name] = true
			decoded(t, dir, name)
		}
	}
}
