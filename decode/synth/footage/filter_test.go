package footage

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

func impulse(width, height, x, y int) *Image {
	return drawn(width, height, func(_ int, px, py float64) float64 {
		if int(px) == x && int(py) == y {
			return 1
		}
		return 0
	})
}

// moments returns the sum of a plane, its centre and its variance along both axes.
func moments(plane []float32, width int) (sum, x, y, varX, varY float64) {
	var xx, yy float64
	for i, v := range plane {
		px, py, w := float64(i%width), float64(i/width), float64(v)
		sum += w
		x += w * px
		y += w * py
		xx += w * px * px
		yy += w * py * py
	}
	x, y = x/sum, y/sum
	return sum, x, y, xx/sum - x*x, yy/sum - y*y
}

// A point blurred by a Gaussian keeps its sum and place and spreads by the variance of a normal
// distribution cut off half a pixel beyond the kernel's last sample: sigma^2 (1 - 2 a phi(a) /
// (2 Phi(a) - 1)), a in standard deviations (truncated normal
// distribution, from memory).
func TestBlurSpreadsAPoint(t *testing.T) {
	for _, sigma := range []float64{0.7, 1, 1.6, 2.5, 4} {
		m := impulse(61, 57, 30, 28)
		m.blur(sigma)
		a := (math.Ceil(3*sigma) + 0.5) / sigma
		n := distuv.UnitNormal
		want := sigma * sigma * (1 - 2*a*n.Prob(a)/(2*n.CDF(a)-1))
		for c := range m.Planes {
			sum, x, y, varX, varY := moments(m.Planes[c], 61)
			if math.Abs(sum-1) > 1e-5 || math.Abs(x-30) > 1e-5 || math.Abs(y-28) > 1e-5 {
				t.Errorf("sigma %g: sum %.6f around (%.5f, %.5f)", sigma, sum, x, y)
			}
			if math.Abs(varX/want-1) > 0.01 || math.Abs(varY/want-1) > 0.01 {
				t.Errorf("sigma %g: variances %.4f and %.4f, want %.4f", sigma, varX, varY, want)
			}
		}
	}
}

// Two blurs are one whose variance is the sum.
func TestBlursAddUp(t *testing.T) {
	m := impulse(81, 81, 40, 40)
	m.blur(1.5)
	m.blur(2)
	_, _, _, varX, varY := moments(m.Planes[0], 81)
	if want := 1.5*1.5 + 2*2; math.Abs(varX/want-1) > 0.03 || math.Abs(varY/want-1) > 0.03 {
		t.Errorf("variances %.3f and %.3f, want %.3f", varX, varY, want)
	}
}

// Flat light stays flat up to the borders, and no blur changes nothing.
func TestBlurKeepsFlatLight(t *testing.T) {
	m := drawn(20, 12, func(c int, _, _ float64) float64 { return 0.18 * float64(c+1) })
	m.blur(2.2)
	for c := range m.Planes {
		for _, v := range m.Planes[c] {
			if math.Abs(float64(v)/(0.18*float64(c+1))-1) > rounded {
				t.Fatalf("%.7f in channel %d", v, c)
			}
		}
	}
	n := noisy(20, 12, 0.3, 4)
	before := append([]float32(nil), n.Planes[1]...)
	n.blur(0)
	n.blur(-1)
	for i, v := range n.Planes[1] {
		if v != before[i] {
			t.Fatal("a blur of nothing changed the picture")
		}
	}
}

// Across and down one after the other is the sum over the square of the kernel's products, borders
// repeated.
func TestConvolveAgainstDirectSum(t *testing.T) {
	const w, h = 13, 9
	m := noisy(w, h, 0.4, 2)
	for _, kernel := range [][]float32{{1}, {0.25, 0.5, 0.25}, {1. / 3, 1. / 3, 1. / 3}, {0.1, 0.2, 0.4, 0.2, 0.1}} {
		half := len(kernel) / 2
		got := convolve(m.Planes[0], w, h, kernel)
		for y := range h {
			for x := range w {
				var want float64
				for j, kj := range kernel {
					for i, ki := range kernel {
						px, py := min(max(x+i-half, 0), w-1), min(max(y+j-half, 0), h-1)
						want += float64(kj) * float64(ki) * float64(m.Planes[0][py*w+px])
					}
				}
				if math.Abs(float64(got[y*w+x])-want) > rounded {
					t.Fatalf("%v at (%d, %d): %.7f, want %.7f", kernel, x, y, got[y*w+x], want)
				}
			}
		}
	}
}

// Resampling keeps flat light exactly, borders included, and the mean of any picture nearly.
func TestShrinkKeepsLight(t *testing.T) {
	for _, to := range [][2]int{{96, 60}, {64, 40}, {48, 30}, {32, 20}, {70, 33}} {
		flat := drawn(96, 60, func(c int, _, _ float64) float64 { return 0.5 + float64(c) })
		out := flat.shrink(to[0], to[1])
		if out.Width != to[0] || out.Height != to[1] {
			t.Fatalf("%d x %d, want %v", out.Width, out.Height, to)
		}
		for c := range out.Planes {
			for _, v := range out.Planes[c] {
				if math.Abs(float64(v)/(0.5+float64(c))-1) > rounded {
					t.Fatalf("%v: %.7f in channel %d", to, v, c)
				}
			}
		}
		m := noisy(96, 60, 0.2, 3)
		in, _, _, _, _ := moments(m.Planes[2], 96)
		sum, _, _, _, _ := moments(m.shrink(to[0], to[1]).Planes[2], to[0])
		// Weights of single samples differ by a part; the mean of so many is known to 0.2 / sqrt(5760).
		if got, want := sum/float64(to[0]*to[1]), in/(96*60); math.Abs(got-want) > 4*0.2/math.Sqrt(5760) {
			t.Errorf("%v: mean %.5f, want %.5f", to, got, want)
		}
	}
	m := noisy(16, 8, 0.1, 3)
	if m.shrink(16, 8) != m {
		t.Error("the same size is not the same picture")
	}
}

// By a whole factor straight lines stay straight: a pixel is what lay in its middle. By 1.5 the
// triangle falls on samples from either side by turns, and two neighbours together are exact.
func TestShrinkKeepsLines(t *testing.T) {
	line := drawn(96, 96, func(_ int, x, y float64) float64 { return 1 + x/96 + y/48 })
	for _, factor := range []int{2, 3, 4} {
		n := 96 / factor
		out := line.shrink(n, n)
		for y := 2; y < n-2; y++ {
			for x := 2; x < n-2; x++ {
				px, py := (float64(x)+0.5)*float64(factor)-0.5, (float64(y)+0.5)*float64(factor)-0.5
				if want := 1 + px/96 + py/48; math.Abs(float64(out.Row(0, y)[x])-want) > 2*rounded {
					t.Fatalf("by %d at (%d, %d): %.6f, want %.6f", factor, x, y, out.Row(0, y)[x], want)
				}
			}
		}
	}
	out := drawn(96, 96, func(_ int, x, _ float64) float64 { return x }).shrink(64, 64)
	for x := 2; x < 61; x += 2 {
		got := float64(out.Row(0, 30)[x]+out.Row(0, 30)[x+1]) / 2
		if want := (float64(x)+1)*1.5 - 0.5; math.Abs(got-want) > 1e-4 {
			t.Errorf("columns %d and %d have %.4f, want %.4f", x, x+1, got, want)
		}
	}
}

// The response of a triangle of 2n+1 samples to a sine of f periods a pixel is that of two running
// means of n samples, (sin pi n f / (n sin pi f))^2 (Dirichlet kernel squared,
// from memory): what would alias to a flat field, a whole period a pixel of the result, is gone.
func TestShrinkAgainstAliasing(t *testing.T) {
	const factor, n = 3, 243
	for _, f := range []float64{1. / 81, 1. / 27, 1. / 9, 1. / 6, 2. / 9, 1. / 3, 4. / 9} {
		wave := drawn(n, 9, func(_ int, x, _ float64) float64 { return 1 + 0.5*math.Cos(2*math.Pi*f*(x-1)) })
		row := wave.shrink(n/factor, 3).Row(0, 1)
		want := math.Pow(math.Sin(math.Pi*factor*f)/(factor*math.Sin(math.Pi*f)), 2)
		for x := 2; x < len(row)-2; x++ {
			w := 1 + 0.5*want*math.Cos(2*math.Pi*f*float64(x*factor))
			if math.Abs(float64(row[x])-w) > 1e-5 {
				t.Fatalf("%.3f periods a pixel: %.5f at %d, want %.5f", f, row[x], x, w)
			}
		}
	}
}

// Every sample, at borders too, is the mean over all samples of the row and of the column, weighted by
// a triangle around its middle that reaches one sample of the result either way.
func TestShrinkAgainstDirectSum(t *testing.T) {
	m := noisy(30, 24, 0.3, 6)
	for _, to := range [][2]int{{20, 16}, {15, 12}, {11, 9}, {29, 23}} {
		triangle := func(i, k, n, of int) float64 {
			scale := float64(of) / float64(n)
			return max(1-math.Abs(float64(k)+0.5-(float64(i)+0.5)*scale)/scale, 0)
		}
		out := m.shrink(to[0], to[1])
		for y := range to[1] {
			for x := range to[0] {
				var sum, all float64
				for py := range 24 {
					for px := range 30 {
						w := triangle(x, px, to[0], 30) * triangle(y, py, to[1], 24)
						sum += w * float64(m.Row(1, py)[px])
						all += w
					}
				}
				if got := float64(out.Row(1, y)[x]); math.Abs(got-sum/all) > 2*rounded {
					t.Fatalf("%v at (%d, %d): %.6f, want %.6f", to, x, y, got, sum/all)
				}
			}
		}
	}
}
