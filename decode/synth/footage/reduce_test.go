package footage

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
)

func wide(plane []float32) (out []float64) {
	for _, v := range plane {
		out = append(out, float64(v))
	}
	return out
}

// Where nothing moves the recursive filter is an autoregressive process of first order: of noise of
// variance 1 it leaves (1-k)/(1+k), and neighbouring frames correlate by k (Box, Jenkins, Time
// Series Analysis, AR(1); from memory).
func TestRecursiveLeavesTheVarianceOfAR1(t *testing.T) {
	const w, h, sigma = 120, 100, 0.01
	for _, k := range []float64{0.2, 0.5, 0.8} {
		before := noisy(w, h, sigma, 1).Planes[0]
		var last []float32
		for frame := range uint64(40) {
			now := noisy(w, h, sigma, frame+2).Planes[0]
			// Movement is looked for at ten thousand times the noise.
			recursive(now, before, w, h, float32(k), 1e4*sigma)
			last, before = before, now
		}
		want := (1 - k) / (1 + k)
		if got := stat.Variance(wide(before), nil) / sigma / sigma; math.Abs(got/want-1) > 4*math.Sqrt(2./(w*h)) {
			t.Errorf("k = %g leaves %.4f of the variance, want %.4f", k, got, want)
		}
		if r := stat.Correlation(wide(before), wide(last), nil); math.Abs(r-k) > 4/math.Sqrt(w*h) {
			t.Errorf("k = %g: neighbouring frames correlate by %.3f", k, r)
		}
	}
}

// What changes by the reach or more is taken as it is; half of it takes half of k.
func TestRecursiveFollowsMovement(t *testing.T) {
	for _, tc := range []struct{ change, want float64 }{
		{0, 0}, {0.25, 0.25 * (1 - 0.6*0.75)}, {0.5, 0.5 * (1 - 0.6*0.5)}, {1, 1}, {-1, -1}, {3, 3},
	} {
		before, now := gray(9, 9, 2).Planes[0], gray(9, 9, 2+tc.change).Planes[0]
		recursive(now, before, 9, 9, 0.6, 1)
		for _, v := range now {
			if math.Abs(float64(v)-2-tc.want) > rounded {
				t.Fatalf("a change of %g became %.5f, want %.5f", tc.change, v-2, tc.want)
			}
		}
	}
}

// Within reach a sample becomes a mean of nine: of the variance (1 - 8k/9)^2 + 8 (k/9)^2 is left.
func TestSigmaFilterOnNoise(t *testing.T) {
	const n = 150
	m := noisy(n, n, 0.01, 9)
	for _, k := range []float64{0, 0.3, 0.6, 1} {
		out := sigmaFilter(m.Planes[0], n, n, float32(k), 1)
		var inside []float64
		for y := 1; y < n-1; y++ {
			inside = append(inside, wide(out[y*n+1:(y+1)*n-1])...)
		}
		want := (1-8*k/9)*(1-8*k/9) + 8*(k/9)*(k/9)
		// Neighbours share samples: up to five times fewer of the values are independent.
		if got := stat.Variance(inside, nil) / 1e-4; math.Abs(got/want-1) > 4*math.Sqrt(2*5./(n*n)) {
			t.Errorf("k = %g leaves %.4f of the variance, want %.4f", k, got, want)
		}
	}
}

// An edge higher than the reach stays as it is, sample by sample; a lower one is blurred.
func TestSigmaFilterKeepsEdges(t *testing.T) {
	edge := func(height float64) []float32 {
		return drawn(12, 8, func(_ int, x, _ float64) float64 {
			if x >= 6 {
				return 1 + height
			}
			return 1
		}).Planes[0]
	}
	for _, tc := range []struct{ height, at5 float64 }{{2, 1}, {1, 1}, {0.5, 1 + 0.5/3}} {
		in := edge(tc.height)
		out := sigmaFilter(in, 12, 8, 1, 1)
		for y := range 8 {
			for x, want := range map[int]float64{0: 1, 4: 1, 5: tc.at5, 6: 2 + tc.height - tc.at5, 11: 1 + tc.height} {
				if got := float64(out[y*12+x]); math.Abs(got-want) > rounded {
					t.Errorf("edge of %g: %.5f at (%d, %d), want %.5f", tc.height, got, x, y, want)
				}
			}
		}
	}
	dot := impulse(7, 7, 3, 3).Planes[0]
	for i, v := range sigmaFilter(dot, 7, 7, 1, 0.5) {
		if v != dot[i] {
			t.Errorf("beside a dot higher than the reach, %d is %g", i, v)
		}
	}
}

// A camera's noise reduction does the same to light in files of any depth, and none to the first
// frame in time.
func TestReduceByDepth(t *testing.T) {
	reduced := func(bits int) *Image {
		cam := NewCamera(24, 16, sLog3(t), 5)
		cam.Record.Bits, cam.Temporal, cam.Spatial = bits, 0.5, 0.7
		p := &process{cam: cam}
		scale := math.Exp2(float64(bits - 10))
		frame := func(seed uint64) *Image {
			m := noisy(24, 16, 0.01, seed)
			for c := range m.Planes {
				for i := range m.Planes[c] {
					m.Planes[c][i] *= float32(400 * scale)
				}
			}
			return m
		}
		p.before = frame(1)
		m := frame(2)
		p.reduce(m)
		for c := range m.Planes {
			for i := range m.Planes[c] {
				m.Planes[c][i] /= float32(scale)
			}
		}
		return m
	}
	ten, twelve := reduced(10), reduced(12)
	for c := range ten.Planes {
		for i, v := range ten.Planes[c] {
			if math.Abs(float64(v-twelve.Planes[c][i])) > 0.001 {
				t.Fatalf("%.4f codes in ten bits, %.4f in twelve", v, twelve.Planes[c][i])
			}
		}
	}
	cam := NewCamera(24, 16, sLog3(t), 5)
	cam.Temporal = 0.9
	first, plain := noisy(24, 16, 0.1, 3), noisy(24, 16, 0.1, 3)
	(&process{cam: cam}).reduce(first)
	for i, v := range first.Planes[0] {
		if v != plain.Planes[0][i] {
			t.Fatal("the first frame has one before it")
		}
	}
}

// Sharpening adds to a point what the mean around it takes away, keeps its sum, flat light and
// straight lines.
func TestSharpen(t *testing.T) {
	m := impulse(9, 9, 4, 4)
	m.sharpen(0.8)
	for at, want := range map[[2]int]float64{{4, 4}: 1 + 0.8*0.75, {3, 4}: -0.8 / 8, {4, 5}: -0.8 / 8,
		{5, 5}: -0.8 / 16, {2, 4}: 0} {
		if got := float64(m.Row(1, at[1])[at[0]]); math.Abs(got-want) > rounded {
			t.Errorf("%v has %.5f, want %.5f", at, got, want)
		}
	}
	if sum, _, _, _, _ := moments(m.Planes[2], 9); math.Abs(sum-1) > rounded {
		t.Errorf("sum of %.6f", sum)
	}
	line := drawn(20, 14, func(_ int, x, y float64) float64 { return 1 + x/20 - y/30 })
	want := append([]float32(nil), line.Planes[0]...)
	line.sharpen(1.5)
	for y := 1; y < 13; y++ {
		for x := 1; x < 19; x++ {
			if d := math.Abs(float64(line.Row(0, y)[x] - want[y*20+x])); d > rounded {
				t.Fatalf("a line moved by %g at (%d, %d)", d, x, y)
			}
		}
	}
	still := noisy(20, 14, 0.2, 5)
	want = append([]float32(nil), still.Planes[0]...)
	still.sharpen(0)
	for i, v := range still.Planes[0] {
		if v != want[i] {
			t.Fatal("sharpening by nothing changed the picture")
		}
	}
}
