package analyze

import (
	"math"
	"strings"
	"testing"

	"stopledger/curve"
)

// TestLightness: CIE L*, its slope, and the L* of noise of 1 and 10 % (worked with numpy from the
// formula of CIE 15; it gives the L* of the 24-patch chart's 2005 edition from its Y to 1e-4).
func TestLightness(t *testing.T) {
	for _, tc := range []struct{ y, l, slope, one, ten float64 }{
		{0.001, 0.903, 903.3, 0.009, 0.090}, {0.01, 8.991, 833.1, 0.083, 0.83}, {0.05, 26.735, 284.9, 0.142, 1.42},
		{0.18, 49.496, 121.3, 0.218, 2.18}, {0.5, 76.069, 61.4, 0.307, 3.07}, {1, 100, 38.7, 0.387, 3.87},
		{0.09, 35.984, 0, 0, 0}, {0.36, 66.520, 0, 0, 0}, {0.9, 95.997, 0, 0, 0}, {0.18419, 50, 0, 0, 0},
	} {
		if got := Lightness(tc.y); math.Abs(got-tc.l) > 6e-4 {
			t.Errorf("L* of %v: %.4f, want %.3f", tc.y, got, tc.l)
		}
		if tc.slope == 0 {
			continue
		}
		slope := LightnessSlope(tc.y)
		if math.Abs(slope-tc.slope) > 0.06 || math.Abs(slope*tc.y*0.01-tc.one) > 6e-4 || math.Abs(slope*tc.y*0.1-tc.ten) > 6e-3 {
			t.Errorf("slope at %v: %.2f, want %.1f; noise of 1 %% %.4f, of 10 %% %.3f", tc.y, slope, tc.slope, slope*tc.y*0.01, slope*tc.y*0.1)
		}
	}
	if Lightness(0) != 0 || Lightness(-1) != 0 {
		t.Error("no light has a lightness")
	}
}

// TestSlopesOfTheDisplay compares slopes with differences of the functions, on either side of
// the knee and of L*'s straight part.
func TestSlopesOfTheDisplay(t *testing.T) {
	const step = 1e-6
	for _, v := range []float64{0.0005, 0.0088, 0.0089, 0.1, 0.5, 0.599, 0.601, 0.8, 1, 3} {
		near(t, "slope of the display", DisplaySlope(v), (DisplayLight(v+step)-DisplayLight(v-step))/2/step, 1e-4)
		near(t, "slope of L*", LightnessSlope(v), (Lightness(v+step)-Lightness(v-step))/2/step, 1e-4)
	}
}

// TestDisplayRendering: reflectances up to the knee show as themselves, nothing exceeds white,
// and more light never shows darker.
func TestDisplayRendering(t *testing.T) {
	for _, v := range []float64{0.0001, 0.18, 0.6} {
		if DisplayLight(v) != v {
			t.Errorf("light %v shows as %v", v, DisplayLight(v))
		}
	}
	// 0.6 + 0.4 (1 - 1/e), and the signals of an 11.7 and an 18 % grey on a BT.1886 display
	// (18 % through BT.709's camera curve is 40.9 % signal, shown at 11.7 %).
	near(t, "white", DisplayLight(1), 0.6+0.4*(1-math.Exp(-1)), 1e-12)
	near(t, "signal of 11.7 %", DisplaySignal(0.1170), 0.409, 1e-3)
	near(t, "signal of grey", DisplaySignal(0.18), 0.4895, 1e-3)
	last := -1.0
	for stops := -20.0; stops < 20; stops += 0.1 {
		d := DisplayLight(curve.FromStops(stops))
		if d < last || d > 1 {
			t.Fatalf("%+.1f stops show as %v after %v", stops, d, last)
		}
		last = d
	}
	for _, v := range []float64{0, -0.01, math.Inf(-1), math.NaN()} {
		if DisplayLight(v) != 0 || DisplaySignal(DisplayLight(v)) != 0 {
			t.Errorf("light %v shows as %v", v, DisplayLight(v))
		}
	}
	if DisplayLight(math.Inf(1)) != 1 || DisplaySignal(2) != 1 {
		t.Error("no light is brighter than white")
	}
}

// TestGradedNoise: noise of 2 codes of S-Log3 at grey is 1.86 % of its light and 0.406 L*; 3
// codes at -2 stops 3.23 % and 0.444; 3 at -3 stops 3.82 % and 0.417; 2 at -4 stops, where slopes
// differ on both sides, 2.93 % and 0.254 (worked with numpy).
func TestGradedNoise(t *testing.T) {
	for _, tc := range []struct{ scene, codes, relative, lightness, tolerance float64 }{
		{0, 2, 0.0186, 0.406, 0.005}, {-2, 3, 0.0323, 0.444, 0.005}, {-3, 3, 0.0382, 0.417, 0.01}, {-4, 2, 0.0293, 0.254, 0.03},
	} {
		s := newToneScale(readingOf(t, 10))
		linear, sigma := s.light(s.reading.CodeOf(curve.FromStops(tc.scene)), tc.codes)
		near(t, "noise", sigma/linear, tc.relative, tc.tolerance)
		for _, placement := range []float64{0, 1.5} {
			// The same noise relative to light, recorded over nominal and pulled back.
			n := &Noise{Model: &Model{Read: sigma * math.Exp2(placement)}}
			got := scenes(gradeNoise("", n, placement, -placement))[tc.scene]
			near(t, "noise in L*", got.SigmaL, tc.lightness, tc.tolerance)
		}
	}
}

func scenes(g Graded) map[float64]GradedTone {
	out := map[float64]GradedTone{}
	for _, tone := range g.Tones {
		out[tone.Scene] = tone
	}
	return out
}

// TestGradeKeepsSNR: a pull or lift after the recording scales light and noise alike. The pull
// makes noise less visible, the lift more; nominal is what an exposure without placement has.
func TestGradeKeepsSNR(t *testing.T) {
	n := &Noise{Model: &Model{Read: 0.002, Shot: 0.0003}}
	all := gradeAll(n, 1.65, -1.65, []float64{1, -1})
	if len(all) != 4 || all[0].Stops != 0 || all[1].Stops != -1.65 || all[2].Stops != 1 || all[3].Stops != -1 {
		t.Fatalf("grades %+v", all)
	}
	for _, g := range all {
		for i, tone := range g.Tones {
			if tone.SNR != all[0].Tones[i].SNR {
				t.Errorf("%s: SNR at %+.0f stops is %v, as recorded %v", g.Name, tone.Scene, tone.SNR, all[0].Tones[i].SNR)
			}
			near(t, "nominal SNR", tone.Nominal, n.Model.SNR(curve.FromStops(tone.Scene)), 1e-12)
			near(t, "SNR", tone.SNR, n.Model.SNR(curve.FromStops(tone.Scene+1.65)), 1e-12)
		}
	}
	if pulled, lifted := scenes(all[1])[-4].SigmaL, scenes(all[2])[-4].SigmaL; !(pulled < scenes(all[0])[-4].SigmaL && pulled < lifted) {
		t.Errorf("noise at -4 stops: %.3f L* as recorded, %.3f pulled, %.3f lifted", scenes(all[0])[-4].SigmaL, pulled, lifted)
	}
	if hold := gradeAll(n, 0, 0, nil); len(hold) != 3 || hold[1].Stops != 1 || hold[2].Stops != 2 {
		t.Errorf("grades where none is advised and no lift asked for: %+v", hold)
	}
}

// TestVisibleNoise: the brightest tone with a unit of L* or more, on either side of it.
func TestVisibleNoise(t *testing.T) {
	// At -3 stops: 0.0225 of white, slope 485; a unit of L* is a noise of 0.00206.
	y := curve.FromStops(-3)
	unit := 1 / (116.0 / 3 * math.Pow(y, -2.0/3))
	for noise, want := range map[float64]float64{unit * 1.001: -3, unit * 0.999: -4} {
		if g := gradeNoise("", &Noise{Model: &Model{Read: noise}}, 0, 0); g.Visible != want {
			t.Errorf("noise %.5f is visible from %v stops, want %v", noise, g.Visible, want)
		}
	}
	if g := gradeNoise("", &Noise{Model: &Model{Read: 1e-6}}, 0, 0); !math.IsNaN(g.Visible) {
		t.Errorf("noise of a millionth is visible from %v", g.Visible)
	}
	if g := gradeNoise("", &Noise{Suppressed: "yes", Model: &Model{Read: 1}}, 0, 0); !math.IsNaN(g.Visible) || !math.IsNaN(g.Tones[0].SigmaL) {
		t.Error("suppressed noise is graded")
	}
}

// TestVisibleNoiseInWords: one sentence over all grades where noise shows; as recorded only where
// no correction is advised.
func TestVisibleNoiseInWords(t *testing.T) {
	noisy := &Noise{Model: &Model{Read: 0.004}}
	for _, tc := range []struct {
		name       string
		noise      *Noise
		correction float64
		lifts      []float64
		with       []string
		without    string
	}{
		{"clean", &Noise{Model: &Model{Read: 1e-6}}, -1, []float64{1}, nil, ""},
		{"as recorded", noisy, 0, []float64{2}, []string{"stops as recorded, ", "stops lifted by 2.0 stops ("}, "after"},
		{"advised", noisy, -1.65, nil, []string{"stops after the correction, ", "lifted by 1.0 stops, ", "lifted by 2.0 stops ("}, "as recorded"},
	} {
		found := visibleNoise(gradeAll(tc.noise, -tc.correction, tc.correction, tc.lifts))
		checkTexts(t, Advice{Findings: found, Next: NextTake{Text: "."}})
		if tc.with == nil {
			if len(found) > 0 {
				t.Errorf("%s: %+v", tc.name, found)
			}
			continue
		}
		if len(found) != 1 {
			t.Fatalf("%s: %+v", tc.name, found)
		}
		for _, with := range tc.with {
			if !strings.Contains(found[0].Text, with) {
				t.Errorf("%s: %q lacks %q", tc.name, found[0].Text, with)
			}
		}
		if tc.without != "" && strings.Contains(found[0].Text, tc.without) {
			t.Errorf("%s: %q has %q", tc.name, found[0].Text, tc.without)
		}
	}
}
