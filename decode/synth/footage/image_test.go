package footage

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/decode/synth"
)

// rounded is how far arithmetic in float32 may lie off, of a value of one.
const rounded = 3e-6

// drawn makes an image whose planes are functions of the pixel.
func drawn(width, height int, at func(c int, x, y float64) float64) *Image {
	m := NewImage(width, height)
	for c := range m.Planes {
		for y := range height {
			row := m.Row(c, y)
			for x := range row {
				row[x] = float32(at(c, float64(x), float64(y)))
			}
		}
	}
	return m
}

// noisy makes an image of independent values around 1.
func noisy(width, height int, sigma float64, seed uint64) *Image {
	rng := rand.New(rand.NewPCG(seed, 7))
	return drawn(width, height, func(int, float64, float64) float64 { return 1 + sigma*rng.NormFloat64() })
}

// Cubic convolution with a = -1/2 gives back constants, straight lines and parabolas (Keys,
// 1981, from memory: its error is of third order). Where the result would be negative it is cut.
func TestLookKeepsParabolas(t *testing.T) {
	for name, at := range map[string]func(c int, x, y float64) float64{
		"constant": func(c int, x, y float64) float64 { return float64(c+1) / 3 },
		"line":     func(c int, x, y float64) float64 { return 0.2 + 0.01*float64(c) + x/90 + y/70 },
		"parabola": func(c int, x, y float64) float64 { return 0.1 + (x-20)*(x-20)/2000 + (y-11)*(y-11)/3000 },
	} {
		m := drawn(48, 40, at)
		for _, v := range []view{{0, 0, 1}, {0.37, -0.61, 1}, {-1.5, 2.25, 1.03}, {0.1, 0.9, 0.94}} {
			out := NewImage(32, 24)
			m.look(out, v, 6)
			for c := range out.Planes {
				for i, got := range out.Planes[c] {
					x, y := float64(i%32)+0.5, float64(i/32)+0.5
					want := at(c, v.X+16+(x-16)*v.Scale+6-0.5, v.Y+12+(y-12)*v.Scale+6-0.5)
					if math.Abs(float64(got)-want) > rounded {
						t.Fatalf("%s seen by %+v: %.7f at pixel %d, want %.7f", name, v, got, i, want)
					}
				}
			}
		}
	}
}

// A shift by whole pixels copies samples bit by bit; beyond the border the last sample repeats.
func TestLookByWholePixels(t *testing.T) {
	m := noisy(40, 30, 0.2, 1)
	for _, v := range []view{{0, 0, 1}, {3, -2, 1}, {-4, 4, 1}, {20, 0, 1}, {0, -30, 1}} {
		out := NewImage(32, 22)
		m.look(out, v, 4)
		for c := range out.Planes {
			for i, got := range out.Planes[c] {
				x, y := i%32+int(v.X)+4, i/32+int(v.Y)+4
				if want := m.Row(c, min(max(y, 0), 29))[min(max(x, 0), 39)]; got != want {
					t.Fatalf("%+v: pixel %d is %g, want %g", v, i, got, want)
				}
			}
		}
	}
}

// The four weights of a tap add up to one at every place, are Keys' kernel at the distances of its
// samples, and its samples stay within the row.
func TestTapsAreKeysKernel(t *testing.T) {
	kernel := func(s float64) float64 { // Keys, 1981, a = -1/2; from memory
		switch s = math.Abs(s); {
		case s < 1:
			return 1.5*s*s*s - 2.5*s*s + 1
		case s < 2:
			return -0.5*s*s*s + 2.5*s*s - 4*s + 2
		}
		return 0
	}
	place := func(i int) float64 { return -3 + 0.173*float64(i) }
	for i, got := range taps(120, 12, place) {
		first, sum := math.Floor(place(i)), 0.0
		for k, w := range got.weight {
			sum += float64(w)
			if want := kernel(place(i) - first - float64(k-1)); math.Abs(float64(w)-want) > rounded {
				t.Errorf("at %.3f weight %d is %.6f, want %.6f", place(i), k, w, want)
			}
			if want := min(max(int(first)+k-1, 0), 11); got.at[k] != want {
				t.Errorf("at %.3f sample %d is %d, want %d", place(i), k, got.at[k], want)
			}
		}
		if math.Abs(sum-1) > rounded {
			t.Errorf("at %.3f weights add up to %.7f", place(i), sum)
		}
	}
}

// Light is never negative, although the kernel is: beside a bright edge the undershoot is cut.
func TestLookHasNoNegativeLight(t *testing.T) {
	m := drawn(24, 24, func(_ int, x, y float64) float64 {
		if x >= 12 && y >= 12 {
			return 10
		}
		return 0
	})
	out := NewImage(16, 16)
	m.look(out, view{0.5, 0.5, 1}, 4)
	most := float32(0)
	for _, v := range out.Planes[0] {
		if v < 0 {
			t.Fatalf("light of %g", v)
		}
		most = max(most, v)
	}
	// Half way past a step the kernel overshoots by 1/16 each way: (1 + 1/16)^2 in the corner.
	if want := 10 * (1 + 1./16) * (1 + 1./16); math.Abs(float64(most)-want) > 1e-4 {
		t.Errorf("overshoot to %.4f, want %.4f", most, want)
	}
}

// Every row is done once, however few there are.
func TestRowsDoesEachOnce(t *testing.T) {
	for _, n := range []int{1, 2, 3, 17, 240} {
		count := make([]int, n)
		rows(n, func(y int) { count[y]++ })
		for y, k := range count {
			if k != 1 {
				t.Errorf("row %d of %d is done %d times", y, n, k)
			}
		}
	}
}

// A row cannot grow into the next one.
func TestRowEndsWithItsImage(t *testing.T) {
	m := NewImage(5, 4)
	if row := m.Row(1, 2); len(row) != 5 || cap(row) != 5 {
		t.Errorf("a row of %d samples with room for %d", len(row), cap(row))
	}
	m.Row(2, 3)[4] = 7
	if m.Planes[2][19] != 7 {
		t.Error("a row is not part of its plane")
	}
}

// A glow multiplies light by 2^Bright in its middle and by 2^Dark far away.
func TestGlow(t *testing.T) {
	m := drawn(200, 40, func(c int, x, y float64) float64 { return float64(c + 1) })
	g := Glow{X: 20.5, Y: 20.5, Reach: 30, Bright: 1, Dark: -3}
	m.paint([]synth.Part{g}, 0, 0, 0)
	for c := range m.Planes {
		row := m.Row(c, 20)
		for x, stops := range map[int]float64{20: 1, 50: -3 + 4*math.Exp(-1), 199: -3} {
			if want := float64(c+1) * math.Exp2(stops); math.Abs(float64(row[x])/want-1) > 1e-5 {
				t.Errorf("channel %d, column %d: %.5f, want %.5f", c, x, row[x], want)
			}
		}
	}
}
