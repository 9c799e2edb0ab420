package synth

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"stopledger/curve"
)

// flat is a shot of one light.
func flat(l Light, seed uint64) Shot {
	return Shot{Scene: Scene{Parts: []Part{Fill{l}}}, Seed: seed, Frames: 2}
}

// light decodes a plane of a frame.
func light(r curve.Reading, p Planes, plane int) []float64 {
	table := r.Table()
	out := make([]float64, len(p.Samples[plane]))
	for i, v := range p.Samples[plane] {
		out[i] = float64(table.Light[v])
	}
	return out
}

// linearRGB is a camera that records R', G', B' on a straight line in 16 bits: what it records is
// what its sensor gives, to 1/65535 of its range.
func linearRGB(t testing.TB, w, h int) Camera {
	t.Helper()
	linear, err := curve.Find("Linear")
	if err != nil {
		t.Fatal(err)
	}
	cam := bench(t, w, h)
	cam.Curve, cam.Sampling, cam.Bits, cam.Range, cam.Ceiling = linear, RGB, 16, curve.Full, 0
	return cam
}

// Each channel's noise is that of EMVA 1288's linear camera (release 4.0, section 2.4): variance =
// read^2 + shot x light, with its white balance gain on both.
func TestChannelNoise(t *testing.T) {
	cam := linearRGB(t, 320, 200)
	cam.Noise, cam.Gains = Noise{Read: 1e-3, Shot: 2e-5}, [3]float64{2, 1, 1.5}
	for _, level := range []float64{0.02, 0.2} {
		p := Render(cam, flat(Grey(curve.Light(level)), 3), 0)
		for c, gain := range cam.Gains {
			mean, variance := stat.MeanVariance(light(cam.Reading(), p, c), nil)
			want := gain * gain * (1e-6 + 2e-5*level/gain)
			n := float64(len(p.Samples[c]))
			if math.Abs(variance/want-1) > errorsAllowed*math.Sqrt(2/n)+1e-3 {
				t.Errorf("channel %d at %g: variance %.4g, want %.4g", c, level, variance, want)
			}
			if math.Abs(mean-level) > errorsAllowed*math.Sqrt(want/n)+1e-5 {
				t.Errorf("channel %d at %g: mean %.6f", c, level, mean)
			}
		}
	}
}

// Noise is new in each frame, channel and place: none of the correlations differs from 0 by more
// than its standard error of 1/sqrt(n) allows.
func TestNoiseIsIndependent(t *testing.T) {
	const w, h = 320, 200
	cam := linearRGB(t, w, h)
	r, err := NewRenderer(cam, flat(Grey(0.3), 5))
	if err != nil {
		t.Fatal(err)
	}
	first, second := r.Frame(0), r.Frame(1)
	other := Render(cam, flat(Grey(0.3), 6), 0)
	a := light(cam.Reading(), first, 1)
	shifted := func(dx, dy int) []float64 { return append(slices.Clone(a[dy*w+dx:]), a[:dy*w+dx]...) }
	for name, b := range map[string][]float64{
		"the next frame": light(cam.Reading(), second, 1), "another channel": light(cam.Reading(), first, 0),
		"another seed": light(cam.Reading(), other, 1), "the pixel beside": shifted(1, 0), "the row below": shifted(0, 1),
	} {
		if c := stat.Correlation(a, b, nil); math.Abs(c) > errorsAllowed/math.Sqrt(w*h) {
			t.Errorf("noise is correlated by %.4f with %s", c, name)
		}
	}
}

// The form of the noise: normal where electrons are many (skewness 0), Poisson where they are few
// (skewness 1/sqrt(mean) and no read noise beside it). A skewness over n samples has a standard
// error of sqrt(6/n) for normal noise, and of little more here.
func TestFormOfTheNoise(t *testing.T) {
	cam := linearRGB(t, 400, 250)
	const n = 400 * 250
	for _, c := range []struct{ electrons, skew float64 }{{5000, 0}, {12, 1 / math.Sqrt(12)}, {4, 0.5}} {
		cam.Noise = Noise{Shot: 1e-4}
		p := Render(cam, flat(Grey(curve.Light(c.electrons*1e-4)), 2), 0)
		if got := stat.Skew(light(cam.Reading(), p, 1), nil); math.Abs(got-c.skew) > 1.5*errorsAllowed*math.Sqrt(6.0/n)+0.01 {
			t.Errorf("%g electrons: skewness %.3f, want %.3f", c.electrons, got, c.skew)
		}
	}
}

// Without light there is read noise around nothing, below it as often as above: the mean of linear
// light stays at 0, which averaging codes would not give.
func TestBlackIsAroundNoLight(t *testing.T) {
	cam := bench(t, 320, 200)
	cam.Sampling, cam.Bits, cam.Noise = RGB, 16, Noise{Read: 2e-3, Shot: 1e-5}
	p := Render(cam, flat(Light{}, 4), 0)
	mean, sd := stat.MeanStdDev(light(cam.Reading(), p, 1), nil)
	if math.Abs(mean) > errorsAllowed*sd/math.Sqrt(320*200) || math.Abs(sd/2e-3-1) > 0.02 {
		t.Errorf("mean %.6f, spread %.6f", mean, sd)
	}
}

// The fixed pattern is the same in every frame and of every shot, and another camera's differs.
func TestPatternStaysInPlace(t *testing.T) {
	cam := linearRGB(t, 160, 100)
	cam.Noise, cam.Pattern = Noise{}, Pattern{Seed: 4, PRNU: 0.01, DSNU: 1e-3}
	first, later := Render(cam, flat(Grey(0.3), 1), 0), Render(cam, flat(Grey(0.3), 2), 7)
	for c := range first.Samples {
		if !slices.Equal(first.Samples[c], later.Samples[c]) {
			t.Errorf("channel %d: the pattern moves", c)
		}
	}
	cam.Pattern.Seed = 5
	other := Render(cam, flat(Grey(0.3), 1), 0)
	a, b := light(cam.Reading(), first, 1), light(cam.Reading(), other, 1)
	if r := stat.Correlation(a, b, nil); math.Abs(r) > errorsAllowed/math.Sqrt(160*100) {
		t.Errorf("two cameras' patterns are correlated by %.4f", r)
	}
}

// PRNU is a share of the light and DSNU is not: twice the light doubles the one and leaves the other.
func TestPatternAgainstLight(t *testing.T) {
	cam := linearRGB(t, 200, 120)
	cam.Noise = Noise{}
	spread := func(p Pattern, level curve.Light) float64 {
		cam.Pattern = p
		return stat.StdDev(light(cam.Reading(), Render(cam, flat(Grey(level), 1), 0), 1), nil)
	}
	gain, offset := Pattern{Seed: 2, PRNU: 0.02}, Pattern{Seed: 2, DSNU: 0.004}
	if a, b := spread(gain, 0.2), spread(gain, 0.4); math.Abs(b/a-2) > 1e-2 || math.Abs(a/0.004-1) > 0.02 {
		t.Errorf("gain: %.5f at 0.2, %.5f at 0.4", a, b)
	}
	if a, b := spread(offset, 0.2), spread(offset, 0.4); math.Abs(b/a-1) > 1e-2 || math.Abs(a/0.004-1) > 0.02 {
		t.Errorf("offset: %.5f at 0.2, %.5f at 0.4", a, b)
	}
}

// Bands are the same along their row or column.
func TestBandsRunAlong(t *testing.T) {
	cam := linearRGB(t, 60, 40)
	cam.Noise, cam.Pattern = Noise{}, Pattern{Seed: 3, Rows: 0.01}
	rows := Render(cam, flat(Grey(0.3), 1), 0)
	cam.Pattern = Pattern{Seed: 3, Columns: 0.01}
	columns := Render(cam, flat(Grey(0.3), 1), 0)
	for y := range 40 {
		for x := range 60 {
			if rows.Row(1, y)[x] != rows.Row(1, y)[0] {
				t.Fatalf("row %d is not one band", y)
			}
			if columns.Row(1, y)[x] != columns.Row(1, 0)[x] {
				t.Fatalf("column %d is not one band", x)
			}
		}
	}
	if slices.Min(rows.Samples[1]) == slices.Max(rows.Samples[1]) {
		t.Error("there are no bands")
	}
}

// Each channel ends at its own ceiling: the sensor's with its gain, or the curve's top.
func TestCeilingOfEachChannel(t *testing.T) {
	cam := bench(t, 64, 36)
	cam.Noise, cam.Sampling, cam.Bits, cam.Gains = Noise{}, RGB, 16, [3]float64{1, 2, 0.5}
	cam.Ceiling = curve.Stops(4).Light()
	shot := flat(Grey(50), 1)
	frames, truth, err := Expose(cam, shot)
	if err != nil {
		t.Fatal(err)
	}
	for c, gain := range cam.Gains {
		want := truth.Reading.CodeOf(curve.Light(gain) * cam.Ceiling)
		if got := curve.FileCode(frames[0].Samples[c][100]); math.Abs(float64(got-want)) > 0.51 {
			t.Errorf("channel %d ends at code %g, want %.1f", c, float64(got), float64(want))
		}
		if told := truth.Reading.FileCode(truth.Ceilings[c]); math.Abs(float64(told-want)) > 0.01 {
			t.Errorf("channel %d: told %.1f, want %.1f", c, float64(told), float64(want))
		}
	}
	luma := 0.0
	for c, k := range []float64{0.2126, 0.7152, 0.0722} { // ITU-R BT.709-6, 3.2
		luma += k * float64(truth.Ceilings[c])
	}
	if math.Abs(luma-float64(truth.CeilingLuma)) > 1e-6 {
		t.Errorf("luma ends at %.3f, want %.3f", float64(truth.CeilingLuma), luma)
	}
	if truth.Clipped.All != 1 {
		t.Errorf("clipped %+v, want all of it", truth.Clipped)
	}
}

// Signal equals noise at the floor, by its definition: L^2 = read^2 + shot L.
func TestFloorOfTheTruth(t *testing.T) {
	for _, n := range []Noise{{1e-3, 1e-5}, {0, 1e-4}, {5e-4, 0}} {
		cam := bench(t, 64, 36)
		cam.Noise = n
		r, err := NewRenderer(cam, flat(Grey(0.18), 1))
		if err != nil {
			t.Fatal(err)
		}
		truth := r.Truth()
		l := float64(truth.FloorStops.Light())
		noise := float64(truth.Noise.Read)*float64(truth.Noise.Read) + float64(truth.Noise.Shot)*l
		if math.Abs(l*l/noise-1) > 1e-9 {
			t.Errorf("%+v: signal %.3g, noise %.3g at the floor", n, l, math.Sqrt(noise))
		}
	}
}

// Sigma in codes on a straight line is sigma in light times codes per light, wherever the noise
// stays off the ceiling; at the ceiling half of it is cut away: a normal distribution cut at its
// mean keeps a standard deviation of sqrt(1/2 - 1/(2 pi)) of its own.
func TestSigmaCodeOnAStraightLine(t *testing.T) {
	cam := linearRGB(t, 64, 36)
	cam.Noise, cam.Ceiling, cam.Sampling = Noise{Read: 1e-3, Shot: 1e-5}, 0.8, S444
	r, err := NewRenderer(cam, flat(Grey(0.18), 1))
	if err != nil {
		t.Fatal(err)
	}
	truth := r.Truth()
	perLight := float64(truth.Reading.Code(truth.Reading.CodeOf(1) - truth.Reading.CodeOf(0)))
	for _, l := range []curve.Light{0.01, 0.1, 0.5} {
		want := float64(truth.SigmaLinear(l)) * perLight
		got := float64(truth.SigmaCode(truth.Reading.Code(truth.Reading.CodeOf(l))))
		if math.Abs(got/want-1) > 2e-3 {
			t.Errorf("light %g: sigma %.4f codes, want %.4f", float64(l), got, want)
		}
	}
	cut := math.Sqrt(0.5 - 1/(2*math.Pi))
	want := float64(truth.SigmaLinear(0.8)) * perLight * cut
	if got := float64(truth.SigmaCode(truth.Reading.Code(truth.Reading.CodeOf(0.8)))); math.Abs(got/want-1) > 5e-3 {
		t.Errorf("at the ceiling: sigma %.4f codes, want %.4f", got, want)
	}
}
