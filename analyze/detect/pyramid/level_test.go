package pyramid

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
)

var limits = DefaultParams()

func sLog3(t *testing.T) curve.Reading {
	t.Helper()
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	return curve.Reading{Curve: c, Range: curve.Narrow, Bits: 10}
}

// randomFrame has random samples and padding of the top code, in every layout.
func randomFrame(rng *rand.Rand, layout decode.Layout, bits, w, h, subX, subY int) *decode.Frame {
	f := &decode.Frame{Layout: layout, Bits: bits}
	cw, ch := (w+subX-1)/subX, (h+subY-1)/subY
	sizes := [3][2]int{{w, h}, {cw, ch}, {cw, ch}}
	for i := range f.Planes {
		if i > 0 && layout == decode.Gray {
			break
		}
		p := decode.Plane{Stride: sizes[i][0] + 8, Width: sizes[i][0], Height: sizes[i][1]}
		p.Samples = make([]uint16, p.Stride*p.Height)
		for k := range p.Samples {
			p.Samples[k] = 65535
			if k%p.Stride < p.Width {
				p.Samples[k] = uint16(rng.IntN(1 << bits))
			}
		}
		f.Planes[i] = p
	}
	return f
}

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
	return mean(0, n, n) * k, (mean(1, n/f.SubX(), n/f.SubY()) - c.Mid) * c.CbB * k, (mean(2, n/f.SubX(),
		n/f.SubY()) - c.Mid) * c.CrR * k
}

func TestReduce(t *testing.T) {
	const tolerance = 1.6 // each of up to three values was rounded to a whole step
	rng := rand.New(rand.NewPCG(4, 4))
	for _, layout := range layouts {
		for _, bits := range []int{8, 10, 12, 16} {
			for _, n := range []int{1, 2, 4} {
				for _, size := range [][2]int{{32, 20}, {33, 21}, {9, 7}} {
					t.Run(fmt.Sprint(layout.name, bits, n, size), func(t *testing.T) {
						f := randomFrame(rng, layout.layout, bits, size[0], size[1], layout.subX, layout.subY)
						r := curve.Reading{Curve: sLog3(t).Curve, Range: curve.Narrow, Bits: bits}
						l := Reduce(f, r, curve.BT709, n)
						for y := range l.H {
							for x := range l.W {
								i := y*l.W + x
								luma, u, v := slowReduce(f, r, curve.BT709, n, x, y)
								if math.Abs(float64(l.Y[i])-luma) > tolerance ||
									math.Abs(float64(l.U[i])-u) > tolerance ||
									math.Abs(float64(l.V[i])-v) > tolerance {
									t.Fatalf("%d, %d: %d %d %d, want %.1f %.1f %.1f", x, y, l.Y[i], l.U[i],
										l.V[i], luma, u, v)
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
func noisyLevel(rng *rand.Rand, w, h int, sigma float64) *Level {
	l := New(w, h, 2)
	for i := range l.Y {
		l.Y[i] = int16(math.Round(1800 + sigma*rng.NormFloat64()))
		l.U[i] = int16(math.Round(sigma * rng.NormFloat64()))
		l.V[i] = int16(math.Round(sigma * rng.NormFloat64()))
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
		bin := Bin(1800)
		want := sigma * math.Sqrt2
		if got := float64(RoughnessOf(l, &limits).Luma[bin]); math.Abs(got/want-1) > tolerance {
			t.Errorf("sigma %g: %.2f, want %.2f", sigma, got, want)
		}
		for i := range len(l.Y) / 5 {
			l.Y[i] += int16(rng.IntN(400) - 200)
		}
		if got := float64(RoughnessOf(l, &limits).Luma[bin]); math.Abs(got/want-1) > busyTolerance {
			t.Errorf("sigma %g in a busy picture: %.2f, want %.2f", sigma, got, want)
		}
	}
}

// TestHalf keeps means.
func TestHalf(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	l := noisyLevel(rng, 33, 21, 100)
	o := l.Half()
	if o.W != 16 || o.H != 10 || o.Scale != 4 {
		t.Fatalf("%d x %d, scale %g", o.W, o.H, o.Scale)
	}
	for y := range o.H {
		for x := range o.W {
			i := 2*y*l.W + 2*x
			want := float64(l.Y[i]+l.Y[i+1]+l.Y[i+l.W]+l.Y[i+l.W+1]) / 4
			if got := float64(o.Y[y*o.W+x]); math.Abs(got-want) > 0.5 {
				t.Fatalf("%d, %d: %g, want %g", x, y, got, want)
			}
		}
	}
}
