package noise

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/robust"
	"stopledger/curve"
	"stopledger/decode"
)

// noiseFilm is grey of code 420 with noise of a standard deviation in codes; coded, if there is
// one, takes the noise of a frame and that of the frame before as it was coded.
func noiseFilm(frames int, sigma float64, coded func(frame int, noise, before []float64)) []*decode.Frame {
	const width, height = 192, 128
	random := rand.New(rand.NewPCG(8, 9))
	var fields [][]float64
	for i := range frames {
		field := make([]float64, width*height)
		for j := range field {
			field[j] = sigma * random.NormFloat64()
		}
		if i > 0 && coded != nil {
			coded(i, field, fields[i-1])
		}
		fields = append(fields, field)
	}
	return testframes.Make(testframes.Kinds[1], width, height, 10, frames, func(frame, plane, x, y int) uint16 {
		if plane > 0 {
			return 512
		}
		return uint16(math.Round(420 + fields[frame][y*width+x]))
	})
}

func measureFilm(t *testing.T, frames []*decode.Frame) Result {
	t.Helper()
	return measure(frames, recordingOf(testframes.Reading(t, 10)))
}

// TestCodecOfCleanNoise: noise as a sensor makes it shows no sign of coding.
func TestCodecOfCleanNoise(t *testing.T) {
	r := measureFilm(t, noiseFilm(16, 4, nil))
	c := r.Codec
	if c.RepeatedShare != 0 || c.Spread > 1.15 ||
		math.Abs(float64(c.LagGrowth)-1) > 0.03 || math.Abs(float64(c.Kurtosis)-3) > 0.15 {
		t.Errorf("%+v, want nothing repeated, growth 1, spread 1, kurtosis 3", c)
	}
	if r.Suppressed {
		t.Errorf("called suppressed: %s", r.Reason)
	}
}

// TestLagGrowth: recursive noise reduction leaves correlation r from frame to frame; over k
// frames the variance of differences is (1 - r^k) / (1 - r) of that over one.
func TestLagGrowth(t *testing.T) {
	for _, correlation := range []float64{0.2, 0.5, 0.8} {
		r := measureFilm(t, noiseFilm(16, 6, func(_ int, noise, before []float64) {
			for i := range noise {
				noise[i] = correlation*before[i] + math.Sqrt(1-correlation*correlation)*noise[i]
			}
		}))
		want := (1 - math.Pow(correlation, 7)) / (1 - correlation)
		if math.Abs(float64(r.Codec.LagGrowth)/want-1) > 0.05 {
			t.Errorf("correlation %.1f: growth %.3f, want %.3f", correlation, r.Codec.LagGrowth, want)
		}
		if !r.Suppressed || !strings.Contains(r.Reason, "carried over") || r.Model != nil || curve.Finite(r.Floor) {
			t.Errorf("correlation %.1f: suppressed %q, floor %v", correlation, r.Reason, r.Floor)
		}
		for _, tone := range r.Tones {
			if curve.Finite(tone.SNR) || curve.Finite(tone.Low) || curve.Finite(tone.High) {
				t.Errorf("correlation %.1f: SNR %v although suppressed", correlation, tone.SNR)
			}
		}
	}
}

// TestRepeatedCells: one cell in twenty is left out of each frame and shows the one before.
func TestRepeatedCells(t *testing.T) {
	r := measureFilm(t, noiseFilm(16, 4, func(frame int, noise, before []float64) {
		for i := range noise {
			if cell := i/192/16*12 + i%192/16; (cell+frame)%20 == 0 {
				noise[i] = before[i]
			}
		}
	}))
	got := r.Codec.RepeatedShare
	if math.Abs(float64(got)-0.05) > 0.01 || !strings.Contains(r.Reason, "repeats the frame before") {
		t.Errorf("repeated %.4f, want 0.05; suppressed %q", got, r.Reason)
	}
}

// TestSpreadByPicture: every fourth picture is coded with all of its noise, the others with half.
func TestSpreadByPicture(t *testing.T) {
	film := noiseFilm(16, 8, func(frame int, noise, _ []float64) {
		for i := range noise {
			if frame%4 > 0 {
				noise[i] /= 2
			}
		}
	})
	for i, f := range film {
		f.Picture = decode.Picture("IPPP"[i%4])
	}
	c := measureFilm(t, film).Codec
	// Differences: I to P and P to I have 1 + 1/4 of the noise, P to P twice 1/4.
	if math.Abs(float64(c.Spread)-2.5) > 0.25 {
		t.Errorf("spread %.2f, want 2.5", c.Spread)
	}
	if got, want := c.ByPicture["I"]/c.ByPicture["P"], 1.25/((1.25+0.5+0.5)/3); math.Abs(float64(got)/want-1) > 0.05 {
		t.Errorf("change into I pictures is %.2f of that into P, want %.2f", got, want)
	}
}

// TestKurtosis: where a tenth of the samples is renewed and the rest carried over, differences
// have a kurtosis of 3 / 0.1.
func TestKurtosis(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 3))
	r := measureFilm(t, noiseFilm(16, 8, func(_ int, noise, before []float64) {
		for i := range noise {
			if random.Float64() > 0.1 {
				noise[i] = before[i]
			}
		}
	}))
	if math.Abs(float64(r.Codec.Kurtosis)/30-1) > 0.15 || !r.Suppressed {
		t.Errorf("kurtosis %.1f, want 30; suppressed %q", r.Codec.Kurtosis, r.Reason)
	}
}

// TestSuppressionLimits puts each sign just below and just above its limit.
func TestSuppressionLimits(t *testing.T) {
	unknown := curve.Unknown[curve.Ratio]()
	clean := Codec{LagGrowth: unknown, Spread: unknown, Kurtosis: unknown}
	for _, tc := range []struct {
		name    string
		limit   float64
		set     func(*Codec, float64)
		longGOP bool // only then does it count
	}{
		{"repeated", 0.005, func(c *Codec, v float64) { c.RepeatedShare = curve.Share(v) }, false},
		{"growth", 1.1, func(c *Codec, v float64) { c.LagGrowth = curve.Ratio(v) }, false},
		{"spread", 1.6, func(c *Codec, v float64) { c.Spread = curve.Ratio(v) }, true},
		{"kurtosis", 3.8, func(c *Codec, v float64) { c.Kurtosis = curve.Ratio(v) }, true},
	} {
		for _, long := range []bool{false, true} {
			for _, side := range []float64{-1e-4, 1e-4} {
				c := clean
				tc.set(&c, tc.limit+side)
				got, _ := c.suppression(evidence{}, Recording{LongGOP: long})
				if want := side > 0 && (long || !tc.longGOP); (got != "") != want {
					t.Errorf("%s %.4f, long GOP %v: %q", tc.name, tc.limit+side, long, got)
				}
			}
		}
	}
	if got, _ := clean.suppression(evidence{}, Recording{LongGOP: true}); got != "" {
		t.Errorf("nothing known is called suppressed: %s", got)
	}
}

// TestRounding: whole codes add 1/12 to the variance, which is taken off; true noise of 0.6 code
// then reads 0.599 to 0.601 wherever its mean lies, while under 0.5 code no figure is right
// (worked with numpy), and none is given.
func TestRounding(t *testing.T) {
	for _, sigma := range []float64{0.3, 0.45, 0.55, 0.6, 0.75, 1, 3} {
		given := sigma > 0.5
		tone := mainTone(measureFilm(t, noiseFilm(16, sigma, nil)).Tones)
		// A standard error is 0.15 %.
		known := curve.Finite(tone.SigmaCode)
		if known != given || known && math.Abs(float64(tone.SigmaCode)/sigma-1) > 0.01 {
			t.Errorf("sigma %.2f reads %.4f, given %v", sigma, tone.SigmaCode, given)
		}
		if curve.Finite(tone.Below) == known || !known && tone.Below != 0.5 {
			t.Errorf("sigma %.2f: below %v", sigma, tone.Below)
		}
	}
}

// TestQuieterCells: how much a frame changes is the lower quartile over cells.
func TestQuieterCells(t *testing.T) {
	c := measureFilm(t, noiseFilm(16, 4, nil)).Codec
	near(t, "change", c.ByPicture["I"], (16+1.0/12)*robust.ChiQuantile(0.25, cells.Freedom), 0.02)
}

// TestRepeatedShare: repeats count where other cells of the tone show noise that codes can hold,
// up to a stop over grey, or where most of the picture has nothing else.
func TestRepeatedShare(t *testing.T) {
	noisy, faint := 100*1.0, 100*0.2
	for _, tc := range []struct {
		name  string
		table toneTable
		want  float64
	}{
		{"nothing", toneTable{}, 0},
		{"noise", toneTable{-4: {cells: 100, variance: noisy}}, 0},
		{"a tenth", toneTable{-4: {cells: 90, variance: 90, repeated: 10}}, 0.1},
		{"too bright to tell", toneTable{
			2: {cells: 90, variance: 90, repeated: 10}, -4: {cells: 100, variance: noisy},
		}, 0},
		{"just dark enough", toneTable{1: {cells: 90, variance: 90, repeated: 10}}, 0.1},
		{"too faint to tell", toneTable{-4: {cells: 100, variance: faint, repeated: 50}}, 0},
		{"a bar", toneTable{-20: {repeated: 20}, -4: {cells: 100, variance: noisy}}, 0},
		{"nearly all", toneTable{-20: {repeated: 150}, -4: {cells: 100, variance: noisy}}, 0.6},
	} {
		if got := float64(tc.table.repeatedShare()); math.Abs(got-tc.want) > 1e-12 {
			t.Errorf("%s: %.3f repeated, want %.3f", tc.name, got, tc.want)
		}
	}
}
