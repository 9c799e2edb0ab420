package pyramid

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// TestQuietSigmas: the constant that turns the quantile into a standard deviation is the normal distribution's.
func TestQuietSigmas(t *testing.T) {
	want := distuv.UnitNormal.Quantile((1 + limits.QuietQuantile) / 2)
	if math.Abs(limits.QuietSigmas-want) > 0.0005 {
		t.Errorf("%g, want %.4f", limits.QuietSigmas, want)
	}
	if want := distuv.UnitNormal.Quantile(0.75); math.Abs(NormalMAD-want) > 0.00005 {
		t.Errorf("median deviation %g, want %.5f", NormalMAD, want)
	}
}

// TestRoughnessByTone: dark and light halves of a picture have their own noise, and so have the colours; a tone
// between them that the picture does not show takes the noise of the nearer.
func TestRoughnessByTone(t *testing.T) {
	const tolerance = 0.1 // of the value: a quantile of some thousand whole steps
	rng := rand.New(rand.NewPCG(25, 1))
	l := New(300, 200, 2)
	sigmas := map[bool][3]float64{false: {6, 20, 10}, true: {24, 12, 40}} // dark, light: luma, blue, red
	for i := range l.Y {
		light := i >= len(l.Y)/2
		s := sigmas[light]
		y, b, r := s[0]*rng.NormFloat64(), s[1]*rng.NormFloat64(), s[2]*rng.NormFloat64()
		base := 960.0 // the middle of a bin, where 128 codes are one
		if light {
			base = 3008
		}
		l.Y[i], l.U[i], l.V[i] = int16(math.Round(base+y)), int16(math.Round(b)), int16(math.Round(r))
	}
	got := RoughnessOf(l, &limits)
	for light, codes := range map[bool][]int16{false: {0, 500, 960, 1700}, true: {2300, 3008, 4000}} {
		want := sigmas[light]
		for _, code := range codes {
			bin := Bin(code)
			for k, v := range []float32{got.Luma[bin], got.blue[bin], got.red[bin]} {
				if ratio := float64(v) / (want[k] * math.Sqrt2); math.Abs(ratio-1) > tolerance {
					t.Errorf("code %d, channel %d: %.2f, %.3f of what it is", code, k, v, ratio)
				}
			}
		}
	}
}

// TestRoughnessOfNothing: a level too small to tell, or without any change, has no noise.
func TestRoughnessOfNothing(t *testing.T) {
	for _, l := range []*Level{New(2, 2, 2), New(10, 10, 2), New(200, 100, 2)} {
		r := RoughnessOf(l, &limits)
		for b, v := range r.Luma {
			if v > 1 { // differences of 0 stand for all below half a code
				t.Errorf("%d x %d: bin %d: %g", l.W, l.H, b, v)
			}
		}
	}
}

// TestLimits: a limit is so many standard deviations, at least what rounding takes, at most what patches differ by;
// coarse chroma is given its steps.
func TestLimits(t *testing.T) {
	var r Roughness
	r.Luma[3], r.Luma[4], r.Luma[5] = 1, 20, 500
	r.blue[3], r.red[3] = 30, 2
	for _, c := range []struct {
		quantum         float64
		luma            [3]int16
		blue, red, none int16
	}{
		{1, [3]int16{10, 60, 200}, 90, 12, 12},
		{16, [3]int16{10, 60, 200}, 90, 35, 35}, // 2.2 x 16
	} {
		r.quantum = c.quantum
		s := r.Limits(Drawing{3, 10, 12}, &limits)
		if got := [3]int16{s.Luma[3], s.Luma[4], s.Luma[5]}; got != c.luma || s.Blue[3] != c.blue ||
			s.Red[3] != c.red || s.Red[9] != c.none {
			t.Errorf("quantum %g: luma %v, blue %d, red %d, %d", c.quantum, got, s.Blue[3], s.Red[3], s.Red[9])
		}
	}
}

// TestBin: 32 bins of 128 codes; what lies outside the scale counts with its end.
func TestBin(t *testing.T) {
	for code, want := range map[int16]int{-32768: 0, -1: 0, 0: 0, 127: 0, 128: 1, 4095: 31, 4096: 31, 32767: 31} {
		if got := Bin(code); got != want {
			t.Errorf("code %d: bin %d, want %d", code, got, want)
		}
	}
}
