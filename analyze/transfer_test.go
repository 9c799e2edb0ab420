package analyze

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"stopledger/curve"
)

// near fails unless got is within a relative tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s: %.9g, want %.9g within %.2g", what, got, want, tolerance)
	}
}

// tonesOn are tones at recorded stops whose variance follows a model.
func tonesOn(m Model, relative float64, stops ...float64) (tones []Tone) {
	for _, s := range stops {
		l := curve.FromStops(s)
		tones = append(tones, Tone{Linear: l, Stops: s, SigmaLinear: m.Sigma(l), SigmaCode: 3, Relative: relative, Cells: 100})
	}
	return tones
}

var stopsOfTones = []float64{-7, -6, -5, -4, -3, -2, -1, 0, 1, 2}

// TestModelWorked: floor and SNR of read noise 3e-4 and shot noise 2e-5, worked by hand from
// L^2 = read^2 + shot L and 20 log10(L / sigma).
func TestModelWorked(t *testing.T) {
	m := Model{Read: 3e-4, Shot: 2e-5}
	near(t, "floor", m.Floor(1), -9.1807, 1e-5)
	near(t, "light at the floor", curve.FromStops(m.Floor(1)), 3.101666e-4, 1e-6)
	for stops, want := range map[float64]float64{-6: 17.331, -4: 26.040, -2: 33.108, 0: 39.435} {
		near(t, "SNR", m.SNR(curve.FromStops(stops)), want, 5e-5)
		if got := m.Floor(math.Pow(10, want/20)); math.Abs(got-stops) > 1e-3 {
			t.Errorf("%.3f dB at %.4f stops, want %.0f", want, got, stops)
		}
	}
	near(t, "SNR 2", m.SNR(curve.FromStops(m.Floor(2))), 20*math.Log10(2), 1e-9)
	if got := m.SNR(0); !math.IsNaN(got) {
		t.Errorf("SNR without light: %v", got)
	}
}

// TestExactFit: three points on a line of read noise 3e-4 and shot noise 2e-5 give just these,
// however they are weighted.
func TestExactFit(t *testing.T) {
	for _, weights := range [][]float64{{1, 1, 1}, {1e14, 1e13, 1e12}, {1, 100, 1}, {1e6, 1e-3, 5}} {
		m, ok := solveModel([]float64{0.0028125, 0.01125, 0.045}, []float64{1.4625e-7, 3.15e-7, 9.9e-7}, weights)
		if !ok {
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
	const gain, dark, efficiency, saturation, least = 0.280769280926, 3.07341849276, 0.451356082834, 13972.6302563, 25.3600660517
	var p modelPoints
	for electrons := 10.0; electrons < 0.7*saturation; electrons *= 1.5 {
		mean := gain * electrons
		p.linear = append(p.linear, mean)
		p.variance = append(p.variance, dark*dark+gain*mean)
		p.weight = append(p.weight, 1/math.Pow(dark*dark+gain*mean, 2))
	}
	m := p.fit()
	if m == nil {
		t.Fatal("no fit")
	}
	near(t, "gain", m.Shot, gain, 1e-9)
	near(t, "dark noise", m.Read, dark, 1e-9)
	// EMVA's least light is dark noise + 1/2 electron; the exact root of SNR = 1 has 1/8 sigma
	// of an electron more: 0.1 %.
	photons := curve.FromStops(m.Floor(1)) / gain / efficiency
	near(t, "least light", photons, least, 0.0011)
	top := Model{Shot: gain}
	near(t, "largest SNR in dB", top.SNR(gain*saturation), 41.4528, 1e-6)
	near(t, "largest SNR", math.Pow(10, top.SNR(gain*saturation)/20), 118.205880802, 1e-9)
	near(t, "dynamic range in dB", 20*math.Log10(saturation/efficiency/photons), 61.7322, 2e-4)
}

// TestModelIsNotNegative: where a free line would have negative read or shot noise, the other
// parameter is fitted alone.
func TestModelIsNotNegative(t *testing.T) {
	one := []float64{1, 1, 1}
	m, ok := solveModel([]float64{1, 2, 3}, []float64{1, 3, 5}, one) // intercept -1, slope 2
	if !ok || m.Read != 0 {
		t.Fatalf("fit %+v", m)
	}
	near(t, "shot noise through zero", m.Shot, 22.0/14, 1e-12)
	m, ok = solveModel([]float64{1, 2, 3}, []float64{5, 4, 3}, one) // slope -1
	if !ok || m.Shot != 0 {
		t.Fatalf("fit %+v", m)
	}
	near(t, "read noise alone", m.Read, 2, 1e-12)
	near(t, "floor without shot noise", curve.FromStops(m.Floor(1)), 2, 1e-12)
}

// TestFitOnTones fits tones, clean and disturbed.
func TestFitOnTones(t *testing.T) {
	want := Model{Read: 3e-4, Shot: 2e-5}
	clean := func() []Tone { return tonesOn(want, 0.01, stopsOfTones...) }
	for _, tc := range []struct {
		name    string
		disturb func([]Tone) []Tone
	}{
		{"clean", func(tones []Tone) []Tone { return tones }},
		{"tones with movement", func(tones []Tone) []Tone {
			tones[2].SigmaLinear *= 2
			tones[6].SigmaLinear *= 1.5
			return tones
		}},
		{"tones below what codes show", func(tones []Tone) []Tone {
			tones[0].SigmaLinear, tones[9].SigmaLinear = math.NaN(), math.NaN()
			return tones
		}},
		// A sensor's noise shrinks before its ceiling: EMVA 1288 fits up to 70 %.
		{"tones near the ceiling", func(tones []Tone) []Tone {
			for _, s := range []float64{5.6, 5.8, 6} {
				l := curve.FromStops(s)
				tones = append(tones, Tone{Linear: l, Stops: s, SigmaLinear: want.Sigma(l) / 4, SigmaCode: 1, Relative: 0.01})
			}
			return tones
		}},
	} {
		m, reason := fitModel(tc.disturb(clean()), curve.FromStops(6), 0)
		if m == nil {
			t.Errorf("%s: no model: %s", tc.name, reason)
			continue
		}
		near(t, tc.name+": read", m.Read, want.Read, 1e-6)
		near(t, tc.name+": shot", m.Shot, want.Shot, 1e-6)
		if m.Chi2 > 1e-6 || reason != "" {
			t.Errorf("%s: misfit %v, reason %q", tc.name, m.Chi2, reason)
		}
	}
}

// TestNoModel: where tones are few, alike or follow something else, there is no model, and a
// reason.
func TestNoModel(t *testing.T) {
	// Noise that is the same number of codes everywhere, as coding leaves it: sigma grows with light.
	constant := tonesOn(Model{}, 0.01, stopsOfTones...)
	for i := range constant {
		constant[i].SigmaLinear = 0.02 * constant[i].Linear
	}
	// The darkest tones lost half their noise, more than a tone may be off.
	crushed := tonesOn(Model{Read: 3e-4, Shot: 2e-5}, 0.01, stopsOfTones...)
	for i := range 4 {
		crushed[i].SigmaLinear /= 2 + float64(3-i)
	}
	for _, tc := range []struct {
		name   string
		tones  []Tone
		reason string
	}{
		{"none", nil, "0 tones"},
		{"two", tonesOn(Model{Read: 1e-3}, 0.01, -4, -2), "2 tones"},
		{"alike", tonesOn(Model{Read: 1e-3}, 0.01, -4, -4, -4, -4), "too alike"},
		{"noise grows with light", constant, "does not follow"},
		{"crushed", crushed, "does not follow"},
	} {
		m, reason := fitModel(tc.tones, curve.FromStops(6), 0)
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
			tones[i].SigmaLinear *= math.Sqrt(max(v, 0.1))
		}
		m, reason := fitModel(tones, curve.FromStops(6), 0)
		if m == nil {
			t.Fatal(reason)
		}
		read += math.Pow((m.Read-want.Read)/m.ReadError, 2) / seeds
		shot += math.Pow((m.Shot-want.Shot)/m.ShotError, 2) / seeds
		chi += m.Chi2 / seeds
	}
	// Weights come from the drawn variances themselves, and the odd high tone is dropped.
	for name, v := range map[string]float64{"read": math.Sqrt(read), "shot": math.Sqrt(shot), "misfit": chi} {
		if v < 0.8 || v > 1.3 {
			t.Errorf("%s: errors are %.2f of what is claimed", name, v)
		}
	}
}

// TestWithoutModel takes floor and SNR from the tones themselves.
func TestWithoutModel(t *testing.T) {
	m := Model{Read: 3e-4, Shot: 2e-5}
	tones := tonesOn(m, 0.01, -10, -9.5, -9, -8.5, -8, -4.5, -3.5)
	if got := floorOf(tones, nil, 1); math.Abs(got-m.Floor(1)) > 0.01 {
		t.Errorf("floor %.3f between tones, want %.3f", got, m.Floor(1))
	}
	if got := floorOf(tones[3:], nil, 1); !math.IsNaN(got) {
		t.Errorf("floor %v below the darkest tone", got)
	}
	n := Noise{Tones: tones}
	if got, want := snrAt(&n, -4), m.SNR(curve.FromStops(-4)); math.Abs(got-want) > 0.1 {
		t.Errorf("SNR %.2f dB between tones, want %.2f", got, want)
	}
	for _, stops := range []float64{-11, -3} {
		if got := snrAt(&n, stops); !math.IsNaN(got) {
			t.Errorf("SNR %v at %v stops, where there is no tone", got, stops)
		}
	}
	n.Suppressed = "yes"
	if got := snrAt(&n, -4); !math.IsNaN(got) {
		t.Errorf("SNR %v although the noise is suppressed", got)
	}
}

// TestExposureAgainstSNR: p more stops of light raise the SNR of a tone by 6.02 p dB where read
// noise rules and by 3.01 p dB where shot noise does.
func TestExposureAgainstSNR(t *testing.T) {
	for _, tc := range []struct {
		model Model
		want  float64
	}{{Model{Read: 1e-3}, 6.0206}, {Model{Shot: 1e-4}, 3.0103}} {
		l := curve.FromStops(-4)
		near(t, "gain of a stop", tc.model.SNR(2*l)-tc.model.SNR(l), tc.want, 1e-4)
	}
}

// TestLightOfNoisyCodes: S-Log3 in data codes, sigma 2 codes (worked from the Technical Summary
// for S-Log3): SNR 19.578, 33.342, 34.615 dB at -6, -2, 0 stops. At the kink, -4 stops and code
// 171.21, the slope is 1.47618e-4 below and 1.87114e-4 above: the light's noise lies between.
func TestLightOfNoisyCodes(t *testing.T) {
	s := newToneScale(readingOf(t, 10))
	for stops, want := range map[float64]float64{-6: 19.578, -2: 33.342, 0: 34.615} {
		linear, sigma := s.light(s.reading.CodeOf(curve.FromStops(stops)), 2)
		// The curve's bend within two codes: 1.25 (sigma / light)^2, half a percent at -2 stops.
		near(t, "SNR", 20*math.Log10(linear/sigma), want, 2e-3)
		near(t, "light", linear, curve.FromStops(stops), 1e-3)
	}
	code := s.reading.CodeOf(curve.FromStops(-4))
	_, sigma := s.light(code, 2)
	near(t, "noise at the kink", sigma, 2*(1.47618e-4+1.87114e-4)/2, 0.03)
	if linear, sigma := s.light(code, 0); sigma != 0 || math.Abs(linear/curve.FromStops(-4)-1) > 1e-3 {
		t.Errorf("without noise: light %v, noise %v", linear, sigma)
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
		s := newToneScale(curve.Reading{Curve: c, Bits: 10})
		for _, stops := range []float64{-6, -5, -4.5, -4, -3.5, -3, -1} {
			l := curve.FromStops(stops)
			want := 0.1 * l
			const n = 20000
			var sum, square float64
			for range n {
				code := s.reading.CodeOf(l + want*random.NormFloat64())
				sum += code
				square += code * code
			}
			mean := sum / n
			linear, sigma := s.light(mean, math.Sqrt(square/n-mean*mean))
			// Four standard errors of a sigma from n samples are 2 %.
			near(t, name+" noise", sigma, want, 0.025)
			near(t, name+" light", linear, l, 0.005)
		}
	}
}
