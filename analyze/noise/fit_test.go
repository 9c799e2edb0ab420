package noise

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"stopledger/curve"
)

// tonesOn are tones at recorded stops whose variance follows a model.
func tonesOn(m Model, relative float64, stops ...curve.Stops) (tones []tone) {
	for _, s := range stops {
		l := s.Light()
		tones = append(tones, tone{light: l, sigmaLight: float64(m.Sigma(l)), sigma: 3, relative: relative, cells: 100})
	}
	return tones
}

var stopsOfTones = []curve.Stops{-7, -6, -5, -4, -3, -2, -1, 0, 1, 2}

// six stops over grey, a ceiling above the tones.
var sixStops = curve.Stops(6).Light()

// TestExactFit: three points on a line of read noise 3e-4 and shot noise 2e-5 give just these,
// however they are weighted.
func TestExactFit(t *testing.T) {
	for _, weights := range [][]float64{{1, 1, 1}, {1e14, 1e13, 1e12}, {1, 100, 1}, {1e6, 1e-3, 5}} {
		m := solveModel([]float64{0.0028125, 0.01125, 0.045}, []float64{1.4625e-7, 3.15e-7, 9.9e-7}, weights)
		if m == nil {
			t.Fatalf("weights %v: no solution", weights)
		}
		near(t, "read", m.Read, 3e-4, 1e-6)
		near(t, "shot", m.Shot, 2e-5, 1e-6)
	}
}

// TestEMVAVector: the example output of the EMVA 1288 reference implementation (EMVA1288/emva1288,
// doc/datasets/datasets_results.rst, a 12-bit camera): K 0.280769280926 DN per electron, dark
// noise 3.07341849276 DN, quantum efficiency 0.451356082834, saturation 13972.6302563 electrons,
// least 25.3600660517 photons, SNR 118.205880802, dynamic range 1220.69871336. (The decibels
// printed there are 20 ln; here they are 20 log10.)
func TestEMVAVector(t *testing.T) {
	const gain, dark, efficiency = 0.280769280926, 3.07341849276, 0.451356082834
	const saturation, least = 13972.6302563, 25.3600660517
	var p modelPoints
	for electrons := 10.0; electrons < 0.7*saturation; electrons *= 1.5 {
		mean := gain * electrons
		p.add(mean, dark*dark+gain*mean, 1/math.Pow(dark*dark+gain*mean, 2))
	}
	m := p.fit()
	if m == nil {
		t.Fatal("no fit")
	}
	near(t, "gain", m.Shot, gain, 1e-9)
	near(t, "dark noise", m.Read, dark, 1e-9)
	// EMVA's least light is dark noise + 1/2 electron; the exact root of SNR = 1 has 1/8 sigma
	// of an electron more: 0.1 %.
	photons := float64(m.Floor(1).Light()) / gain / efficiency
	near(t, "least light", photons, least, 0.0011)
	top := Model{Shot: gain}
	near(t, "largest SNR in dB", top.SNR(gain*saturation), 41.4528, 1e-6)
	near(t, "largest SNR", math.Pow(10, float64(top.SNR(gain*saturation))/20), 118.205880802, 1e-9)
	near(t, "dynamic range in dB", 20*math.Log10(saturation/efficiency/photons), 61.7322, 2e-4)
}

// TestModelIsNotNegative: where a free line would have negative read or shot noise, the other
// parameter is fitted alone.
func TestModelIsNotNegative(t *testing.T) {
	one := []float64{1, 1, 1}
	m := solveModel([]float64{1, 2, 3}, []float64{1, 3, 5}, one) // intercept -1, slope 2
	if m == nil || m.Read != 0 {
		t.Fatalf("fit %+v", m)
	}
	near(t, "shot noise through zero", m.Shot, 22.0/14, 1e-12)
	m = solveModel([]float64{1, 2, 3}, []float64{5, 4, 3}, one) // slope -1
	if m == nil || m.Shot != 0 {
		t.Fatalf("fit %+v", m)
	}
	near(t, "read noise alone", m.Read, 2.0, 1e-12)
	near(t, "floor without shot noise", m.Floor(1).Light(), 2.0, 1e-12)
}

// TestFitOnTones fits tones, clean and disturbed.
func TestFitOnTones(t *testing.T) {
	want := Model{Read: 3e-4, Shot: 2e-5}
	for name, disturb := range map[string]func([]tone) []tone{
		"clean": func(tones []tone) []tone { return tones },
		"tones with movement": func(tones []tone) []tone {
			tones[2].sigmaLight *= 2
			tones[6].sigmaLight *= 1.5
			return tones
		},
		"tones below what codes show": func(tones []tone) []tone {
			tones[0].sigmaLight, tones[9].sigmaLight = math.NaN(), math.NaN()
			return tones
		},
		// A sensor's noise shrinks before its ceiling: EMVA 1288 fits up to 70 %.
		"tones near the ceiling": func(tones []tone) []tone {
			for _, s := range []curve.Stops{5.6, 5.8, 6} {
				l := s.Light()
				tones = append(tones, tone{light: l, sigmaLight: float64(want.Sigma(l)) / 4, sigma: 1, relative: 0.01})
			}
			return tones
		},
	} {
		m, reason := fitModel(disturb(tonesOn(want, 0.01, stopsOfTones...)), sixStops)
		if m == nil {
			t.Errorf("%s: no model: %s", name, reason)
			continue
		}
		near(t, name+": read", m.Read, want.Read, 1e-6)
		near(t, name+": shot", m.Shot, want.Shot, 1e-6)
		if m.Chi2 > 1e-6 || reason != "" {
			t.Errorf("%s: misfit %v, reason %q", name, m.Chi2, reason)
		}
	}
}

// TestNoModel: where tones are few, alike or follow something else, there is no model, and a
// reason.
func TestNoModel(t *testing.T) {
	// Noise that is the same number of codes everywhere, as coding leaves it: sigma grows with light.
	constant := tonesOn(Model{}, 0.01, stopsOfTones...)
	for i := range constant {
		constant[i].sigmaLight = 0.02 * float64(constant[i].light)
	}
	// The darkest tones lost half their noise, more than a tone may be off.
	crushed := tonesOn(Model{Read: 3e-4, Shot: 2e-5}, 0.01, stopsOfTones...)
	for i := range 4 {
		crushed[i].sigmaLight /= 2 + float64(3-i)
	}
	for _, tc := range []struct {
		name   string
		tones  []tone
		reason string
	}{
		{"none", nil, "0 tones"},
		{"two", tonesOn(Model{Read: 1e-3}, 0.01, -4, -2), "2 tones"},
		{"alike", tonesOn(Model{Read: 1e-3}, 0.01, -4, -4, -4, -4), "too alike"},
		{"noise grows with light", constant, "does not follow"},
		{"crushed", crushed, "does not follow"},
	} {
		m, reason := fitModel(tc.tones, sixStops)
		if m != nil || !strings.Contains(reason, tc.reason) {
			t.Errorf("%s: model %+v, reason %q, want none because of %q", tc.name, m, reason, tc.reason)
		}
	}
}

// TestModelErrors draws tones with errors of 10 % in variance: parameters scatter as claimed.
func TestModelErrors(t *testing.T) {
	const seeds, relative = 300, 0.05
	want := Model{Read: 1e-3, Shot: 1e-4}
	random := rand.New(rand.NewPCG(7, 7))
	var read, shot, chi float64
	for range seeds {
		tones := tonesOn(want, relative, stopsOfTones...)
		for i := range tones {
			// The weights allow for a systematic part as well.
			v := 1 + math.Hypot(2*relative, systematic)*random.NormFloat64()
			tones[i].sigmaLight *= math.Sqrt(max(v, 0.1))
		}
		m, reason := fitModel(tones, sixStops)
		if m == nil {
			t.Fatal(reason)
		}
		read += math.Pow(float64((m.Read-want.Read)/m.ReadError), 2) / seeds
		shot += math.Pow(float64((m.Shot-want.Shot)/m.ShotError), 2) / seeds
		chi += float64(m.Chi2) / seeds
	}
	// Weights come from the drawn variances themselves, and the odd high tone is dropped.
	for name, v := range map[string]float64{"read": math.Sqrt(read), "shot": math.Sqrt(shot), "misfit": chi} {
		if v < 0.8 || v > 1.3 {
			t.Errorf("%s: errors are %.2f of what is claimed", name, v)
		}
	}
}
