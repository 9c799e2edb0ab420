package footage

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// gray makes an image of one light in all channels.
func gray(width, height int, light float64) *Image {
	return drawn(width, height, func(int, float64, float64) float64 { return light })
}

// Colours lie as a Bayer array has them: of four photosites two are green, on a diagonal.
func TestSites(t *testing.T) {
	for y := range 6 {
		for x := range 6 {
			want := [2][2]int{{0, 1}, {1, 2}}[y%2][x%2]
			if got := site(x, y); got != want {
				t.Errorf("(%d, %d) is of colour %d, want %d", x, y, got, want)
			}
		}
	}
}

// A photosite clips at the full well, before gains: its light is the ceiling times its channel's
// gain, or the lowest of them where the camera clamps. Below that light is kept.
func TestClipBeforeGains(t *testing.T) {
	for _, tc := range []struct {
		gains [3]float64
		clamp bool
		want  [3]float64
	}{
		{[3]float64{1, 1, 1}, false, [3]float64{4, 4, 4}},
		{[3]float64{1.8, 1, 1.5}, false, [3]float64{7.2, 4, 6}},
		{[3]float64{1.8, 1, 1.5}, true, [3]float64{4, 4, 4}},
		{[3]float64{2, 1.5, 1.25}, true, [3]float64{5, 5, 5}},
	} {
		s := Sensor{FullWell: 10000, Ceiling: 4, Gains: tc.gains, Clamp: tc.clamp}
		p := s.pattern(8, 6)
		if got := s.ceilings(); got != tc.want {
			t.Errorf("%+v: ceilings %v, want %v", tc, got, tc.want)
		}
		for _, light := range []float64{0, 0.18, 3.99, 4.7, 5.9, 6.5, 100} {
			for i, v := range s.expose(gray(8, 6, light), p, 1, 0, true) {
				want := min(light, tc.want[site(i%8, i/8)])
				if math.Abs(float64(v)-want) > 1e-5 {
					t.Fatalf("%+v: light of %g is %.5f at photosite %d, want %g", tc, light, v, i, want)
				}
			}
		}
	}
}

// Negative light is none, and a dark offset is not cut: codes below black hold noise.
func TestDarkIsNotCut(t *testing.T) {
	s := Sensor{FullWell: 10000, Ceiling: 1, ReadE: 5, Gains: [3]float64{1, 1, 1}}
	var e []float64
	for _, v := range s.expose(gray(64, 64, -3), s.pattern(64, 64), 1, 0, false) {
		e = append(e, float64(v)*10000)
	}
	mean, sd := stat.MeanStdDev(e, nil)
	if math.Abs(mean) > 4*5./64 || math.Abs(sd/5-1) > 4/math.Sqrt(2*4096) {
		t.Errorf("dark has mean %.2f and noise %.2f electrons, want 0 and 5", mean, sd)
	}
}

// The fixed pattern has the size it is told to have: PRNU as a share of the light, DSNU and rows'
// offsets in electrons, each alone (as EMVA 1288 defines them; from memory).
func TestFixedPatternHasItsSize(t *testing.T) {
	const w, h = 160, 120
	base := Sensor{FullWell: 10000, Ceiling: 1, Gains: [3]float64{1, 1, 1}, Seed: 5}
	for name, tc := range map[string]struct {
		set   func(*Sensor)
		light float64
		sd    float64 // electrons
		n     float64 // independent values
	}{
		"PRNU":        {func(s *Sensor) { s.PRNU = 0.01 }, 0.5, 50, w * h},
		"PRNU, dark":  {func(s *Sensor) { s.PRNU = 0.01 }, 0, 0, w * h},
		"DSNU":        {func(s *Sensor) { s.DSNU = 7 }, 0.2, 7, w * h},
		"DSNU, dark":  {func(s *Sensor) { s.DSNU = 7 }, 0, 7, w * h},
		"rows":        {func(s *Sensor) { s.FixedRow = 3 }, 0.1, 3, h},
		"all of them": {func(s *Sensor) { s.PRNU, s.DSNU = 0.01, 7 }, 0.1, math.Hypot(10, 7), w * h},
	} {
		s := base
		tc.set(&s)
		var e []float64
		for _, v := range s.expose(gray(w, h, tc.light), s.pattern(w, h), 1, 0, true) {
			e = append(e, float64(v)*s.FullWell)
		}
		mean, sd := stat.MeanStdDev(e, nil)
		if math.Abs(sd-tc.sd) > 4*tc.sd/math.Sqrt(2*tc.n)+0.001 {
			t.Errorf("%s: %.3f electrons, want %.3f", name, sd, tc.sd)
		}
		if math.Abs(mean-tc.light*s.FullWell) > 4*tc.sd/math.Sqrt(tc.n)+0.001 {
			t.Errorf("%s: mean of %.3f electrons, want %.0f", name, mean, tc.light*s.FullWell)
		}
	}
}

// Row offsets are the same along a row; the fixed ones come back in each frame and in each shot of
// the camera, the temporal ones do not.
func TestRowsOfOneOffset(t *testing.T) {
	const w, h = 16, 400
	s := Sensor{FullWell: 10000, Ceiling: 1, Gains: [3]float64{1, 1, 1}, FixedRow: 2, Seed: 8}
	columns := func(frame int, quiet bool) []float64 {
		out := s.expose(gray(w, h, 0), s.pattern(w, h), 3, frame, quiet)
		var e []float64
		for y := range h {
			for x := range w {
				if out[y*w+x] != out[y*w] {
					t.Fatalf("row %d differs along it", y)
				}
			}
			e = append(e, float64(out[y*w])*s.FullWell)
		}
		return e
	}
	if a, b := columns(0, true), columns(9, true); stat.Correlation(a, b, nil) < 0.999999 {
		t.Error("the fixed pattern changes with the frame")
	}
	s.RowE, s.FixedRow = 3, 0
	a, b := columns(0, false), columns(1, false)
	for _, e := range [][]float64{a, b} {
		if sd := stat.StdDev(e, nil); math.Abs(sd/3-1) > 4/math.Sqrt(2*h) {
			t.Errorf("rows vary by %.2f electrons, want 3", sd)
		}
	}
	if c := stat.Correlation(a, b, nil); math.Abs(c) > 4/math.Sqrt(h) {
		t.Errorf("row noise of two frames correlates by %.3f", c)
	}
}

// Cameras of one make have patterns of their own; one camera has the same in each.
func TestPatternBelongsToTheCamera(t *testing.T) {
	s := Sensor{PRNU: 0.01, DSNU: 2, FixedRow: 1, Seed: 1}
	float := func(v []float32) (out []float64) {
		for _, f := range v {
			out = append(out, float64(f))
		}
		return out
	}
	a, b := s.pattern(64, 64), s.pattern(64, 64)
	s.Seed = 2
	c := s.pattern(64, 64)
	for _, pair := range [][3][]float32{{a.gain, b.gain, c.gain}, {a.offset, b.offset, c.offset}} {
		for i := range pair[0] {
			if pair[0][i] != pair[1][i] {
				t.Fatal("a camera differs from itself")
			}
		}
		if r := stat.Correlation(float(pair[0]), float(pair[2]), nil); math.Abs(r) > 0.1 {
			t.Errorf("two cameras correlate by %.3f", r)
		}
	}
}

// Few electrons are Poisson-distributed: mean and variance are equal, and counts occur as often as
// gonum's Poisson distribution has them, by chi-squared over the counts expected ten times or more.
func TestPhotonsArePoisson(t *testing.T) {
	const n = 20000
	for i, mean := range []float64{0.05, 0.5, 1, 3, 7, 11.9} {
		rng := random(uint64(i), 0, 0, forNoise)
		count := map[float64]float64{}
		var all []float64
		for range n {
			e := photons(mean, rng)
			if e < 0 || e != math.Floor(e) {
				t.Fatalf("%g electrons", e)
			}
			all = append(all, e)
			count[e]++
		}
		got, variance := stat.MeanVariance(all, nil)
		if math.Abs(got-mean) > 4*math.Sqrt(mean/n) {
			t.Errorf("mean %.4f, want %g", got, mean)
		}
		// The variance of a sample variance is (2 m^2 + m) / n for Poisson counts (fourth moment m + 3 m^2).
		if math.Abs(variance-mean) > 4*math.Sqrt((2*mean*mean+mean)/n) {
			t.Errorf("variance %.4f, want %g", variance, mean)
		}
		var chi, classes float64
		for k := 0.0; k < 40; k++ {
			if want := n * (distuv.Poisson{Lambda: mean}).Prob(k); want >= 10 {
				chi += (count[k] - want) * (count[k] - want) / want
				classes++
			}
		}
		if p := (distuv.ChiSquared{K: max(classes-1, 1)}).Survival(chi); p < 1e-4 {
			t.Errorf("mean %g: chi-squared of %.1f over %.0f counts, p = %.2g", mean, chi, classes, p)
		}
	}
}

// From twelve electrons on, counts are normal with the same mean and variance; without light there
// are none.
func TestManyPhotonsAndNone(t *testing.T) {
	const n = 20000
	rng := random(3, 0, 0, forNoise)
	for _, mean := range []float64{12, 50, 4000} {
		var all []float64
		for range n {
			all = append(all, photons(mean, rng))
		}
		got, variance := stat.MeanVariance(all, nil)
		if math.Abs(got-mean) > 4*math.Sqrt(mean/n) || math.Abs(variance/mean-1) > 4*math.Sqrt(2./n) {
			t.Errorf("mean %.3f and variance %.3f, want %g", got, variance, mean)
		}
	}
	for range 100 {
		if e := photons(0, rng); e != 0 {
			t.Fatalf("%g electrons of no light", e)
		}
	}
}

// Random numbers belong to shot, frame, row and purpose: another of any is another sequence.
func TestRandomByPlace(t *testing.T) {
	seen := map[uint64]bool{}
	for seed := uint64(0); seed < 4; seed++ {
		for frame := range 4 {
			for row := range 4 {
				for _, purpose := range []uint64{forNoise, forPattern, forScene, forMotion} {
					v := random(seed, frame, row, purpose).Uint64()
					if again := random(seed, frame, row, purpose).Uint64(); again != v {
						t.Fatal("a sequence differs from itself")
					}
					seen[v] = true
				}
			}
		}
	}
	if len(seen) != 256 {
		t.Errorf("%d sequences of 256", len(seen))
	}
}
