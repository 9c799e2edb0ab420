package pyramid

import (
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
)

// layouts are all that a frame may have.
var layouts = []struct {
	name       string
	layout     decode.Layout
	subX, subY int
}{{"420", decode.YCbCr, 2, 2}, {"422", decode.YCbCr, 2, 1}, {"444", decode.YCbCr, 1, 1},
	{"RGB", decode.RGB, 1, 1}, {"gray", decode.Gray, 1, 1}}

// TestCloseUp: a part of a frame is the same part of the whole frame at full size, wherever it is cut, in every
// layout and at odd sizes; it starts on a chroma sample.
func TestCloseUp(t *testing.T) {
	rng := rand.New(rand.NewPCG(24, 1))
	r := sLog3(t)
	for _, lay := range layouts {
		for _, size := range [][2]int{{32, 20}, {33, 21}} {
			t.Run(fmt.Sprint(lay.name, size), func(t *testing.T) {
				f := randomFrame(rng, lay.layout, 10, size[0], size[1], lay.subX, lay.subY)
				whole := Reduce(f, r, curve.BT709, 1)
				for range 10 {
					x, y := rng.IntN(size[0]-3)-2, rng.IntN(size[1]-3)-2
					area := image.Rect(x, y, x+3+rng.IntN(20), y+3+rng.IntN(20))
					part, at := CloseUp(f, r, curve.BT709, area)
					checkPart(t, whole, part, int(at.X), int(at.Y))
					seen := area.Intersect(image.Rect(0, 0, size[0], size[1]))
					if int(at.X) > seen.Min.X || int(at.Y) > seen.Min.Y || int(at.X)+part.W != seen.Max.X ||
						int(at.Y)+part.H != seen.Max.Y || int(at.X)%lay.subX != 0 || int(at.Y)%lay.subY != 0 {
						t.Fatalf("%v shows %d x %d from %v", area, part.W, part.H, at)
					}
				}
			})
		}
	}
}

// checkPart compares a part's samples with those of the whole from a place on.
func checkPart(t *testing.T, whole, part *Level, x0, y0 int) {
	t.Helper()
	for y := range part.H {
		for x := range part.W {
			i, k := y*part.W+x, (y0+y)*whole.W+x0+x
			if part.Y[i] != whole.Y[k] || part.U[i] != whole.U[k] || part.V[i] != whole.V[k] {
				t.Fatalf("%d, %d from %d, %d: %d %d %d, want %d %d %d", x, y, x0, y0,
					part.Y[i], part.U[i], part.V[i], whole.Y[k], whole.U[k], whole.V[k])
			}
		}
	}
}

// TestBuild: each level is half the one before, down to the least side, and shows the frame's mean.
func TestBuild(t *testing.T) {
	rng := rand.New(rand.NewPCG(24, 2))
	for _, lay := range layouts {
		f := randomFrame(rng, lay.layout, 10, 704, 402, lay.subX, lay.subY)
		levels := Build(f, sLog3(t), curve.BT709, 2, &limits)
		for i, l := range levels {
			last := i == len(levels)-1
			if l.W != 352>>i || l.H != 201>>i || l.Scale != math.Exp2(float64(i+1)) || len(l.Y) != l.W*l.H ||
				last != (min(l.W, l.H) < 2*limits.SmallestLevel) {
				t.Errorf("%s: level %d of %d is %d x %d, scale %g", lay.name, i, len(levels), l.W, l.H, l.Scale)
			}
			if i > 0 && l.Quantum != levels[i-1].Quantum/2 {
				t.Errorf("%s: level %d: quantum %g after %g", lay.name, i, l.Quantum, levels[i-1].Quantum)
			}
			if a, b := meanOfLevel(l.Y), meanOfLevel(levels[0].Y); math.Abs(a-b) > 12 { // a lost last row and rounding
				t.Errorf("%s: level %d: mean %.1f, the first's %.1f", lay.name, i, a, b)
			}
		}
	}
}

func meanOfLevel(v []int16) float64 { return float64(sum(v)) / float64(len(v)) }

// TestQuantum: one step of a file's chroma code moves a level's signal by its quantum, before any averaging.
func TestQuantum(t *testing.T) {
	rng := rand.New(rand.NewPCG(24, 3))
	for _, bits := range []int{8, 10} {
		f := randomFrame(rng, decode.YCbCr, bits, 16, 16, 1, 1)
		r := curve.Reading{Curve: sLog3(t).Curve, Range: curve.Narrow, Bits: bits}
		before := Reduce(f, r, curve.BT709, 1)
		for i := range f.Planes[1].Samples {
			f.Planes[1].Samples[i]++
		}
		after := Reduce(f, r, curve.BT709, 1)
		for i := range before.U {
			if step := float64(after.U[i] - before.U[i]); math.Abs(step-before.Quantum) > 1 {
				t.Fatalf("%d bits: a step of %g, quantum %g", bits, step, before.Quantum)
			}
		}
	}
}

// TestAt: the pixel of a place, the nearest one of a place outside.
func TestAt(t *testing.T) {
	l := New(10, 6, 2)
	for _, c := range []struct {
		x, y float64
		want int
	}{{0, 0, 0}, {9.99, 0.5, 9}, {3.2, 2.9, 23}, {-4, 3, 30}, {40, 40, 59}, {5, -1, 5}} {
		if got := l.At(c.x, c.y); got != c.want {
			t.Errorf("%g, %g: %d, want %d", c.x, c.y, got, c.want)
		}
	}
}

// TestTones: the table of a curve is the curve at whole codes, close to it between them, and flat beyond its ends.
func TestTones(t *testing.T) {
	const tolerance = 1e-4 // stops: single precision, and a straight line between codes
	for _, bits := range []int{8, 10, 12} {
		r := sLog3(t)
		r.Bits = bits
		tones, k := NewToneTable(r, &limits), SignalScale(bits)
		for v := 500.0; v < 4095; v += 37.25 {
			if want := float64(r.Stops(curve.FileCode(v / k))); math.Abs(tones.At(v)-want) > tolerance {
				t.Errorf("%d bits: code %g: %.4f stops, want %.4f", bits, v, tones.At(v), want)
			}
			step := float64(r.Stops(curve.FileCode((v+20)/k))-r.Stops(curve.FileCode((v-20)/k))) / 40
			if v < 4075 && math.Abs(tones.Slope(v)-step) > tolerance/10 {
				t.Errorf("%d bits: slope %.5f at %g, want %.5f", bits, tones.Slope(v), v, step)
			}
		}
		if tones.At(-50) != limits.DeepestTone || tones.At(9999) != float64(tones.Stops[4095]) || tones.Slope(0) <= 0 {
			t.Errorf("%d bits: ends %g and %g, slope %g", bits, tones.At(-50), tones.At(9999), tones.Slope(0))
		}
	}
}

// TestToneOfColour: the three channels that luma and the differences come from are told again: Y' = Kr R' + Kg G' +
// Kb B' (Recommendation ITU-R BT.709-6, 3.2).
func TestToneOfColour(t *testing.T) {
	tones := NewToneTable(sLog3(t), &limits)
	for _, m := range []curve.Matrix{curve.BT709, curve.BT2020} {
		for _, c := range [][3]float64{{1800, 1800, 1800}, {2400, 1500, 900}, {700, 2200, 2600}} {
			y := m.Kr*c[0] + m.Kg()*c[1] + m.Kb*c[2]
			got := tones.Tone(y, c[2]-y, c[0]-y, m)
			for name, pair := range map[string][2]float64{"red": {got.R, tones.At(c[0])},
				"green": {got.G, tones.At(c[1])}, "blue": {got.B, tones.At(c[2])}} {
				if math.Abs(pair[0]-pair[1]) > 1e-6 {
					t.Errorf("%v: %s %.5f, want %.5f", c, name, pair[0], pair[1])
				}
			}
		}
	}
}
