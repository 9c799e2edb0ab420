package pyramid

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/decode/geometry"
)

// mosaic is a level of square patches, pitch pixels apart, each of its own colour with blurred edges, that
// covers an area; the rest is grey.
func mosaic(rng *rand.Rand, pitch float64, columns, rows int, from geometry.Point) *Level {
	l := New(200, 140, 1)
	colours := make([][3]float64, columns*rows)
	for i := range colours {
		colours[i] = [3]float64{1200 + 1400*rng.Float64(), 1600*rng.Float64() - 800, 1600*rng.Float64() - 800}
	}
	const fine = 4
	for y := range l.H {
		for x := range l.W {
			var s [3]float64
			for j := range fine * 2 { // each pixel is a mean over two both ways
				for i := range fine * 2 {
					c := [3]float64{1800, 0, 0}
					u := (float64(x) - 0.5 + (float64(i)+0.5)/fine - from.X) / pitch
					v := (float64(y) - 0.5 + (float64(j)+0.5)/fine - from.Y) / pitch
					if u >= 0 && v >= 0 && u < float64(columns) && v < float64(rows) {
						c = colours[int(v)*columns+int(u)]
					}
					for k := range s {
						s[k] += c[k] / (4 * fine * fine)
					}
				}
			}
			i := y*l.W + x
			l.Y[i], l.U[i], l.V[i] = int16(s[0]), int16(s[1]), int16(s[2])
		}
	}
	return l
}

// TestStillPoints: the middles of patches of four to six pixels are found, to half a pixel or so; an even picture
// and one of noise alone have few or none.
func TestStillPoints(t *testing.T) {
	const most, least = 1.0, 38 // pixels off; of 48 patches: two of like colours may stay one
	tones := NewToneTable(sLog3(t), &limits)
	rng := rand.New(rand.NewPCG(26, 1))
	for _, pitch := range []float64{4, 5, 6} {
		from := geometry.Pt(40.3, 30.6)
		l := mosaic(rng, pitch, 8, 6, from)
		m := StillPoints(l, l.Half(), tones, &limits)
		found := 0
		for n := range 48 {
			at := from.Add(geometry.Pt(float64(n%8)+0.5, float64(n/8)+0.5).Scale(pitch))
			nearest := math.Inf(1)
			for i := range m.List {
				nearest = math.Min(nearest, m.List[i].Centre.Distance(at))
			}
			if nearest < most {
				found++
			}
		}
		if found < least {
			t.Errorf("pitch %g: %d of 48 patches found", pitch, found)
		}
		for i, c := range m.List {
			if k := l.At(c.Centre.X, c.Centre.Y); c.Area != 1 || math.Abs(c.Y-float64(l.Y[k])) > 1200 {
				t.Errorf("pitch %g: point %d: %+v", pitch, i, c)
			}
		}
	}
	even := New(200, 140, 1)
	if m := StillPoints(even, even.Half(), tones, &limits); len(m.List) > 0 {
		t.Errorf("%d still points in an even picture", len(m.List))
	}
}

// TestVariety: two colours and their mixtures have none; colours all round have their standard deviation across the
// axis along which they vary most, in stops.
func TestVariety(t *testing.T) {
	tones := NewToneTable(sLog3(t), &limits)
	rng := rand.New(rand.NewPCG(26, 2))
	for _, c := range []struct {
		name   string
		colour func() (u, v float64)
		codes  float64
	}{
		{"two colours", func() (u, v float64) { k := 800 * rng.Float64(); return k, 0.5 * k }, 0},
		{"one colour", func() (u, v float64) { return 300, -200 }, 0},
		{"all round", func() (u, v float64) { return 300 * rng.NormFloat64(), 100 * rng.NormFloat64() }, 100},
		{"turned", func() (u, v float64) {
			a, b := 300*rng.NormFloat64(), 100*rng.NormFloat64()
			return (a - b) / math.Sqrt2, (a + b) / math.Sqrt2
		}, 100},
	} {
		got := 0.0
		const tiles = 100
		for range tiles { // a tile has 64 pixels
			l := New(8, 8, 2)
			for i := range l.Y {
				u, v := c.colour()
				l.Y[i], l.U[i], l.V[i] = 1800, int16(math.Round(u)), int16(math.Round(v))
			}
			got += variety(l, tones, 0, 0) / tones.Slope(1800) / tiles
		}
		if math.Abs(got-c.codes) > 0.05*c.codes+1 {
			t.Errorf("%s: %.1f codes, want %.1f", c.name, got, c.codes)
		}
	}
	if got := variety(New(8, 8, 2), tones, 8, 8); got != 0 {
		t.Errorf("beyond the level: %g", got)
	}
}
