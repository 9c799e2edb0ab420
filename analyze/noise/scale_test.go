package noise

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
)

// TestLightOfNoisyCodes: S-Log3 in data codes, sigma 2 codes (worked from the Technical Summary
// for S-Log3): SNR 19.578, 33.342, 34.615 dB at -6, -2, 0 stops. At the kink, -4 stops and code
// 171.21, the slope is 1.47618e-4 below and 1.87114e-4 above: the light's noise lies between.
func TestLightOfNoisyCodes(t *testing.T) {
	s := newToneScale(testframes.Reading(t, 10).Table())
	for stops, want := range map[curve.Stops]float64{-6: 19.578, -2: 33.342, 0: 34.615} {
		light, sigma := s.light(s.Reading.CodeOf(stops.Light()), 2)
		// The curve's bend within two codes: 1.25 (sigma / light)^2, half a percent at -2 stops.
		near(t, "SNR", 20*math.Log10(float64(light)/sigma), want, 2e-3)
		near(t, "light", light, stops.Light(), 1e-3)
	}
	kink := curve.Stops(-4).Light()
	code := s.Reading.CodeOf(kink)
	_, sigma := s.light(code, 2)
	near(t, "noise at the kink", sigma, 2*(1.47618e-4+1.87114e-4)/2, 0.03)
	if light, sigma := s.light(code, 0); sigma != 0 || math.Abs(float64(light/kink)-1) > 1e-3 {
		t.Errorf("without noise: light %v, noise %v", light, sigma)
	}
}

// TestLightComesBack sends normal light through each curve and takes its mean and noise from the
// codes, from far below the kink to well above.
func TestLightComesBack(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for _, name := range []string{"S-Log3", "LogC3", "V-Log", "F-Log2", "Canon Log 3"} {
		c, err := curve.Find(name)
		if err != nil {
			t.Fatal(err)
		}
		s := newToneScale(curve.Reading{Curve: c, Bits: 10}.Table())
		for _, stops := range []curve.Stops{-6, -5, -4.5, -4, -3.5, -3, -1} {
			l := stops.Light()
			want := 0.1 * float64(l)
			const n = 20000
			var sum, square float64
			for range n {
				code := float64(s.Reading.CodeOf(l + curve.Light(want*random.NormFloat64())))
				sum += code
				square += code * code
			}
			mean := sum / n
			light, sigma := s.light(curve.FileCode(mean), math.Sqrt(square/n-mean*mean))
			// Four standard errors of a sigma from n samples are 2 %.
			near(t, name+" noise", sigma, want, 0.025)
			near(t, name+" light", light, l, 0.005)
		}
	}
}

// TestOneTone puts the spread of content within a cell on either side of a fifth of a stop, and,
// where noise is larger than that, of half the noise.
func TestOneTone(t *testing.T) {
	s := newToneScale(testframes.Reading(t, 10).Table())
	const perStop = 74.6 // codes of S-Log3 to a stop at grey, worked from its formula
	for _, tc := range []struct {
		texture, noise float64 // codes
		one            bool
	}{
		{0.19 * perStop, 2, true}, {0.21 * perStop, 2, false},
		{0.49 * 60, 60, true}, {0.51 * 60, 60, false}, {0, 2, true},
	} {
		c := sample{code: 420, variance: tc.noise * tc.noise}
		if got := c.oneTone(tc.noise*tc.noise+tc.texture*tc.texture, s); got != tc.one {
			t.Errorf("texture of %.1f codes in noise of %.0f: one tone %v", tc.texture, tc.noise, got)
		}
	}
}
