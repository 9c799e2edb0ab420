package detect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
)

// slowReduce is the plain version: R', G' and B' are not needed, only means of boxes.
func slowReduce(f *decode.Frame, r curve.Reading, m curve.Matrix, n, x, y int) (luma, u, v float64) {
	k := math.Exp2(float64(levelBits - f.Bits))
	mean := func(plane, w, h int) float64 {
		p, s := f.Planes[plane], 0.0
		for j := range h {
			for i := range w {
				s += float64(p.Samples[min(y*h+j, p.Height-1)*p.Stride+min(x*w+i, p.Width-1)])
			}
		}
		return s / float64(w*h)
	}
	switch f.Layout {
	case decode.Gray:
		return mean(0, n, n) * k, 0, 0
	case decode.RGB:
		red, green, blue := mean(0, n, n)*k, mean(1, n, n)*k, mean(2, n, n)*k
		luma = m.Kr*red + m.Kg()*green + m.Kb*blue
		return luma, blue - luma, red - luma
	}
	c := r.Chroma(m)
	if n == 1 { // chroma is repeated
		at := func(i int) float64 { return float64(f.Planes[i].Row(y / f.SubY())[x/f.SubX()]) }
		return mean(0, 1, 1) * k, (at(1) - c.Mid) * c.CbB * k, (at(2) - c.Mid) * c.CrR * k
	}
	return mean(0, n, n) * k, (mean(1, n/f.SubX(), n/f.SubY()) - c.Mid) * c.CbB * k, (mean(2, n/f.SubX(), n/f.SubY()) - c.Mid) * c.CrR * k
}

func TestReduce(t *testing.T) {
	const tolerance = 1.6 // each of up to three values was rounded to a whole step
	rng := rand.New(rand.NewPCG(4, 4))
	for _, layout := range []struct {
		name       string
		layout     decode.Layout
		subX, subY int
	}{{"420", decode.YCbCr, 2, 2}, {"422", decode.YCbCr, 2, 1}, {"444", decode.YCbCr, 1, 1}, {"RGB", decode.RGB, 1, 1}, {"gray", decode.Gray, 1, 1}} {
		for _, bits := range []int{8, 10, 12, 16} {
			for _, n := range []int{1, 2, 4} {
				for _, size := range [][2]int{{32, 20}, {33, 21}, {9, 7}} {
					t.Run(fmt.Sprint(layout.name, bits, n, size), func(t *testing.T) {
						f := randomFrame(rng, layout.layout, bits, size[0], size[1], layout.subX, layout.subY)
						r := curve.Reading{Curve: reading(t, "S-Log3").Curve, Range: curve.Narrow, Bits: bits}
						l := reduce(f, r, curve.BT709, n)
						for y := range l.h {
							for x := range l.w {
								i := y*l.w + x
								luma, u, v := slowReduce(f, r, curve.BT709, n, x, y)
								if math.Abs(float64(l.y[i])-luma) > tolerance || math.Abs(float64(l.u[i])-u) > tolerance || math.Abs(float64(l.v[i])-v) > tolerance {
									t.Fatalf("%d, %d: %d %d %d, want %.1f %.1f %.1f", x, y, l.y[i], l.u[i], l.v[i], luma, u, v)
								}
							}
						}
					})
				}
			}
		}
	}
}

// noisyLevel is even but for normal noise of one strength, in luma and colour.
func noisyLevel(rng *rand.Rand, w, h int, sigma float64) *level {
	l := newLevel(w, h, 2)
	for i := range l.y {
		l.y[i] = int16(math.Round(1800 + sigma*rng.NormFloat64()))
		l.u[i] = int16(math.Round(sigma * rng.NormFloat64()))
		l.v[i] = int16(math.Round(sigma * rng.NormFloat64()))
	}
	return l
}

// TestRoughness: the standard deviation of differences is root two of the noise's, and a busy
// fifth of the picture doesn't change it by much.
func TestRoughness(t *testing.T) {
	const tolerance, busyTolerance = 0.08, 0.35 // of the value; whole steps and a quantile of few
	rng := rand.New(rand.NewPCG(5, 5))
	for _, sigma := range []float64{6, 12, 40} {
		l := noisyLevel(rng, 300, 200, sigma)
		bin := clampBin(1800)
		want := sigma * math.Sqrt2
		if got := float64(roughnessOf(l).luma[bin]); math.Abs(got/want-1) > tolerance {
			t.Errorf("sigma %g: %.2f, want %.2f", sigma, got, want)
		}
		for i := range len(l.y) / 5 {
			l.y[i] += int16(rng.IntN(400) - 200)
		}
		if got := float64(roughnessOf(l).luma[bin]); math.Abs(got/want-1) > busyTolerance {
			t.Errorf("sigma %g in a busy picture: %.2f, want %.2f", sigma, got, want)
		}
	}
}

// TestHalf keeps means.
func TestHalf(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	l := noisyLevel(rng, 33, 21, 100)
	o := l.half()
	if o.w != 16 || o.h != 10 || o.scale != 4 {
		t.Fatalf("%d x %d, scale %g", o.w, o.h, o.scale)
	}
	for y := range o.h {
		for x := range o.w {
			i := 2*y*l.w + 2*x
			want := float64(l.y[i]+l.y[i+1]+l.y[i+l.w]+l.y[i+l.w+1]) / 4
			if got := float64(o.y[y*o.w+x]); math.Abs(got-want) > 0.5 {
				t.Fatalf("%d, %d: %g, want %g", x, y, got, want)
			}
		}
	}
}
