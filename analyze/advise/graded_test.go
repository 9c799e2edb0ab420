package advise

import (
	"math"
	"strings"
	"testing"

	"stopledger/analyze/noise"
	"stopledger/curve"
)

// TestGradedNoise: noise of 2 codes of S-Log3 at grey is 1.86 % of its light and 0.406 L*; 3
// codes at -2 stops 3.23 % and 0.444; 3 at -3 stops 3.82 % and 0.417; 2 at -4 stops, where slopes
// differ on both sides, 2.93 % and 0.254 (worked with numpy).
func TestGradedNoise(t *testing.T) {
	for _, tc := range []struct {
		scene                                 curve.Stops
		codes, relative, lightness, tolerance float64
	}{
		{0, 2, 0.0186, 0.406, 0.005}, {-2, 3, 0.0323, 0.444, 0.005}, {-3, 3, 0.0382, 0.417, 0.01},
		{-4, 2, 0.0293, 0.254, 0.03},
	} {
		r, light := clearFacts(t).Reading, tc.scene.Light()
		code, off := r.CodeOf(light), curve.FileCode(tc.codes)
		sigma := float64(r.Light(code+off)-r.Light(code-off)) / 2
		near(t, "noise", sigma/float64(light), tc.relative, tc.tolerance)
		for _, grey := range []curve.Stops{0, 1.5} {
			// The same noise relative to light, recorded over nominal and pulled back.
			n := &noise.Result{Coding: lossless, Model: &noise.Model{Read: curve.Light(sigma * grey.Gain())}}
			near(t, "noise in L*", byScene(grade("", Facts{Noise: n}, grey, -grey))[tc.scene].SigmaL, tc.lightness, tc.tolerance)
		}
	}
}

func byScene(g Graded) map[curve.Stops]GradedTone {
	out := map[curve.Stops]GradedTone{}
	for _, tone := range g.Tones {
		out[tone.Scene] = tone
	}
	return out
}

// TestGradeKeepsSNR: a pull or lift after the recording scales light and noise alike. The pull
// makes noise less visible, the lift more; nominal is what an exposure without placement has.
func TestGradeKeepsSNR(t *testing.T) {
	n := &noise.Result{Coding: lossless, Model: &noise.Model{Read: 0.002, Shot: 0.0003}}
	snr := func(stops curve.Stops) float64 { // 20 log10(L / sqrt(read^2 + shot L))
		l := 0.18 * math.Exp2(float64(stops))
		return 20 * math.Log10(l/math.Sqrt(0.002*0.002+0.0003*l))
	}
	all := gradeAll(Facts{Noise: n, Lifts: []curve.Stops{1, -1}}, 1.65, -1.65)
	if len(all) != 4 || all[0].Stops != 0 || all[1].Stops != -1.65 || all[2].Stops != 1 || all[3].Stops != -1 {
		t.Fatalf("grades %+v", all)
	}
	for _, g := range all {
		for i, tone := range g.Tones {
			if tone.SNR != all[0].Tones[i].SNR {
				t.Errorf("%s: SNR at %+.0f stops is %v, as recorded %v", g.Name, tone.Scene, tone.SNR, all[0].Tones[i].SNR)
			}
			near(t, "nominal SNR", tone.Nominal, snr(tone.Scene), 1e-12)
			near(t, "SNR", tone.SNR, snr(tone.Scene+1.65), 1e-12)
		}
	}
	recorded, pulled, lifted := byScene(all[0])[-4].SigmaL, byScene(all[1])[-4].SigmaL, byScene(all[2])[-4].SigmaL
	if !(pulled < recorded && pulled < lifted) {
		t.Errorf("noise at -4 stops: %.3f L* as recorded, %.3f pulled, %.3f lifted", recorded, pulled, lifted)
	}
	if hold := gradeAll(Facts{Noise: n}, 0, 0); len(hold) != 3 || hold[1].Stops != 1 || hold[2].Stops != 2 {
		t.Errorf("grades where none is advised and no lift asked for: %+v", hold)
	}
}

// TestVisibleNoise: the brightest tone with a unit of L* or more, on either side of it.
func TestVisibleNoise(t *testing.T) {
	// At -3 stops: 0.0225 of white, slope 485; a unit of L* is a noise of 0.00206.
	y := 0.18 / 8
	unit := 1 / (116.0 / 3 * math.Pow(y, -2.0/3))
	for read, want := range map[float64]curve.Stops{unit * 1.001: -3, unit * 0.999: -4} {
		n := &noise.Result{Coding: lossless, Model: &noise.Model{Read: curve.Light(read)}}
		if g := grade("", Facts{Noise: n}, 0, 0); g.Visible != want {
			t.Errorf("noise %.5f is visible from %v stops, want %v", read, g.Visible, want)
		}
	}
	clean := Facts{Noise: &noise.Result{Coding: lossless, Model: &noise.Model{Read: 1e-6}}}
	if g := grade("", clean, 0, 0); curve.Finite(g.Visible) {
		t.Errorf("noise of a millionth is visible from %v", g.Visible)
	}
	g := grade("", Facts{Noise: &noise.Result{Suppressed: true, Coding: lossless, Model: &noise.Model{Read: 1}}}, 0, 0)
	if curve.Finite(g.Visible) || curve.Finite(g.Tones[0].SigmaL) {
		t.Error("suppressed noise is graded")
	}
}

// TestVisibleNoiseInWords: one sentence over all grades where noise shows; as recorded only where
// no correction is advised.
func TestVisibleNoiseInWords(t *testing.T) {
	noisy := &noise.Result{Coding: lossless, Model: &noise.Model{Read: 0.004}}
	for _, tc := range []struct {
		name       string
		noise      *noise.Result
		correction curve.Stops
		lifts      []curve.Stops
		with       []string
		without    string
	}{
		{"clean", &noise.Result{Coding: lossless, Model: &noise.Model{Read: 1e-6}}, -1, []curve.Stops{1}, nil, ""},
		{"as recorded", noisy, 0, []curve.Stops{2},
			[]string{"As recorded, noise shows from ", "; lifted 2 stops from ", " down ("}, "fter the"},
		{"advised", noisy, -1.65, nil,
			[]string{"After the correction, noise shows from ", "; lifted 1 stop from ", "; lifted 2 stops from "},
			"s recorded"},
	} {
		found := visibleFindings(gradeAll(Facts{Noise: tc.noise, Lifts: tc.lifts}, -tc.correction, tc.correction))
		checkTexts(t, Advice{Findings: found, Next: NextTake{Text: "."}, Summary: "."})
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
