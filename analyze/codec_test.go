package analyze

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
)

// noiseFilm is grey of code 420 with noise of a standard deviation in codes; coded, if there is
// one, takes the noise of a frame and that of the frame before as it was coded.
func noiseFilm(frames int, sigma float64, coded func(frame int, noise, before []float64)) *reel {
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
	return newReel(kinds[1], makeFrames(kinds[1], width, height, 10, frames, func(frame, plane, x, y int) uint16 {
		if plane > 0 {
			return 512
		}
		return uint16(math.Round(420 + fields[frame][y*width+x]))
	}))
}

func codecOf(t *testing.T, r *reel) (Codec, Noise) {
	t.Helper()
	n := measure(t, r, Settings{Reading: readingOf(t, 10), Matrix: curve.BT709, Reflectance: 0.18, Threads: 2}).Noise
	return n.Codec, n
}

// TestCodecOfCleanNoise: noise as a sensor makes it shows no sign of coding.
func TestCodecOfCleanNoise(t *testing.T) {
	c, n := codecOf(t, noiseFilm(16, 4, nil))
	if c.Repeated != 0 || math.Abs(c.Growth-1) > 0.03 || c.Spread > 1.15 || math.Abs(c.Kurtosis-3) > 0.15 {
		t.Errorf("%+v, want nothing repeated, growth 1, spread 1, kurtosis 3", c)
	}
	if n.Suppressed != "" {
		t.Errorf("called suppressed: %s", n.Suppressed)
	}
}

// TestLagGrowth: recursive noise reduction leaves correlation r from frame to frame; over k
// frames the variance of differences is (1 - r^k) / (1 - r) of that over one.
func TestLagGrowth(t *testing.T) {
	for _, r := range []float64{0.2, 0.5, 0.8} {
		c, n := codecOf(t, noiseFilm(16, 6, func(_ int, noise, before []float64) {
			for i := range noise {
				noise[i] = r*before[i] + math.Sqrt(1-r*r)*noise[i]
			}
		}))
		want := (1 - math.Pow(r, 7)) / (1 - r)
		if math.Abs(c.Growth/want-1) > 0.05 {
			t.Errorf("correlation %.1f: growth %.3f, want %.3f", r, c.Growth, want)
		}
		if !strings.Contains(n.Suppressed, "carried over") || n.Model != nil || !math.IsNaN(n.Floor) {
			t.Errorf("correlation %.1f: suppressed %q, floor %v", r, n.Suppressed, n.Floor)
		}
	}
}

// TestRepeatedCells: one cell in twenty is left out of each frame and shows the one before.
func TestRepeatedCells(t *testing.T) {
	c, n := codecOf(t, noiseFilm(16, 4, func(frame int, noise, before []float64) {
		for i := range noise {
			if cell := i/192/16*12 + i%192/16; (cell+frame)%20 == 0 {
				noise[i] = before[i]
			}
		}
	}))
	if math.Abs(c.Repeated-0.05) > 0.01 || !strings.Contains(n.Suppressed, "repeats the frame before") {
		t.Errorf("repeated %.4f, want 0.05; suppressed %q", c.Repeated, n.Suppressed)
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
	for i, f := range film.frames {
		f.Picture = decode.Picture("IPPP"[i%4])
	}
	c, _ := codecOf(t, film)
	// Differences: I to P and P to I have 1 + 1/4 of the noise, P to P twice 1/4.
	if math.Abs(c.Spread-2.5) > 0.25 {
		t.Errorf("spread %.2f, want 2.5", c.Spread)
	}
	if got, want := c.ByPicture['I']/c.ByPicture['P'], 1.25/((1.25+0.5+0.5)/3); math.Abs(got/want-1) > 0.05 {
		t.Errorf("change into I pictures is %.2f of that into P, want %.2f", got, want)
	}
}

// TestKurtosis: where a tenth of the samples is renewed and the rest carried over, differences
// have a kurtosis of 3 / 0.1.
func TestKurtosis(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 3))
	c, n := codecOf(t, noiseFilm(16, 8, func(_ int, noise, before []float64) {
		for i := range noise {
			if random.Float64() > 0.1 {
				noise[i] = before[i]
			}
		}
	}))
	if math.Abs(c.Kurtosis/30-1) > 0.15 || n.Suppressed == "" {
		t.Errorf("kurtosis %.1f, want 30; suppressed %q", c.Kurtosis, n.Suppressed)
	}
}

// TestSuppressionLimits puts each sign just below and just above its limit.
func TestSuppressionLimits(t *testing.T) {
	clean := Codec{Growth: math.NaN(), Spread: math.NaN(), Kurtosis: math.NaN()}
	for _, tc := range []struct {
		name    string
		limit   float64
		set     func(*Codec, float64)
		longGOP bool // only then does it count
	}{
		{"repeated", 0.005, func(c *Codec, v float64) { c.Repeated = v }, false},
		{"growth", 1.1, func(c *Codec, v float64) { c.Growth = v }, false},
		{"spread", 1.6, func(c *Codec, v float64) { c.Spread = v }, true},
		{"kurtosis", 3.8, func(c *Codec, v float64) { c.Kurtosis = v }, true},
	} {
		for _, long := range []bool{false, true} {
			for _, side := range []float64{-1e-4, 1e-4} {
				c := clean
				tc.set(&c, tc.limit+side)
				got := c.suppression(long)
				if want := side > 0 && (long || !tc.longGOP); (got != "") != want {
					t.Errorf("%s %.4f, long GOP %v: %q", tc.name, tc.limit+side, long, got)
				}
			}
		}
	}
	if got := clean.suppression(true); got != "" {
		t.Errorf("nothing known is called suppressed: %s", got)
	}
}

// TestLossyCodecs: what a codec that is not listed does to noise is not known.
func TestLossyCodecs(t *testing.T) {
	for codec, want := range map[string]bool{"ffv1": false, "v210": false, "dpx": false, "prores": true, "hevc": true, "": true, "something new": true} {
		if got := lossy(decode.Info{Codec: codec}); got != want {
			t.Errorf("%q is lossy: %v", codec, got)
		}
	}
}

// TestRounding: whole codes add 1/12 to the variance, which is taken off; true noise of 0.6 code
// then reads 0.599 to 0.601 wherever its mean lies, while under 0.5 code no figure is right
// (worked with numpy), and none is given.
func TestRounding(t *testing.T) {
	for sigma, given := range map[float64]bool{0.3: false, 0.45: false, 0.55: true, 0.6: true, 0.75: true, 1: true, 3: true} {
		_, n := codecOf(t, noiseFilm(16, sigma, nil))
		tone := mainTone(n.Tones)
		// A standard error is 0.15 %.
		if known := !math.IsNaN(tone.SigmaCode); known != given || known && math.Abs(tone.SigmaCode/sigma-1) > 0.01 {
			t.Errorf("sigma %.2f reads %.4f, given %v", sigma, tone.SigmaCode, given)
		}
	}
}

// TestQuieterCells: how much a frame changes is the lower quartile over cells.
func TestQuieterCells(t *testing.T) {
	c, _ := codecOf(t, noiseFilm(16, 4, nil))
	near(t, "change", c.ByPicture['I'], (16+1.0/12)*chiQuantile(0.25, cellFreedom), 0.02)
}

// TestOneTone puts the spread of content within a cell on either side of a fifth of a stop, and,
// where noise is larger than that, of half the noise.
func TestOneTone(t *testing.T) {
	s := newToneScale(readingOf(t, 10))
	const perStop = 74.6 // codes of S-Log3 to a stop at grey, worked from its formula
	for _, tc := range []struct {
		texture, noise float64 // codes
		one            bool
	}{{0.19 * perStop, 2, true}, {0.21 * perStop, 2, false}, {0.49 * 60, 60, true}, {0.51 * 60, 60, false}, {0, 2, true}} {
		c := cellNoise{code: 420, variance: tc.noise * tc.noise, spatial: tc.noise*tc.noise + tc.texture*tc.texture}
		if got := c.oneTone(s); got != tc.one {
			t.Errorf("texture of %.1f codes in noise of %.0f: one tone %v", tc.texture, tc.noise, got)
		}
	}
}
