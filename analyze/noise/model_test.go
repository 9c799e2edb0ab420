package noise

import (
	"math"
	"testing"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
)

// TestModelWorked: floor and SNR of read noise 3e-4 and shot noise 2e-5, worked by hand from
// L^2 = read^2 + shot L and 20 log10(L / sigma).
func TestModelWorked(t *testing.T) {
	m := Model{Read: 3e-4, Shot: 2e-5}
	near(t, "floor", m.Floor(1), -9.1807, 1e-5)
	near(t, "light at the floor", m.Floor(1).Light(), 3.101666e-4, 1e-6)
	r := Result{Model: &m}
	for stops, want := range map[curve.Stops]curve.Decibels{-6: 17.331, -4: 26.040, -2: 33.108, 0: 39.435} {
		near(t, "SNR", m.SNR(stops.Light()), want, 5e-5)
		if got := r.Reaching(want); math.Abs(float64(got-stops)) > 1e-3 {
			t.Errorf("%.3f dB at %.4f stops, want %.0f", want, got, stops)
		}
	}
	near(t, "SNR 2", m.SNR(m.Floor(2).Light()), 20*math.Log10(2), 1e-9)
	if got := m.SNR(0); curve.Finite(got) {
		t.Errorf("SNR without light: %v", got)
	}
}

// TestExposureAgainstSNR: p more stops of light raise the SNR of a tone by 6.02 p dB where read
// noise rules and by 3.01 p dB where shot noise does.
func TestExposureAgainstSNR(t *testing.T) {
	for _, tc := range []struct {
		model Model
		want  float64
	}{{Model{Read: 1e-3}, 6.0206}, {Model{Shot: 1e-4}, 3.0103}} {
		l := curve.Stops(-4).Light()
		near(t, "gain of a stop", tc.model.SNR(2*l)-tc.model.SNR(l), tc.want, 1e-4)
	}
}

// TestIntervalOfModel: at read noise 1e-3 known to a tenth and no shot noise the variance is known
// to 1.96 x 0.2, so that the SNR lies 10 log10(1.392) under and -10 log10(0.608) over its value
// (worked by hand), in squares with what all tones share. Errors as large as the variance give no
// interval, and then no value.
func TestIntervalOfModel(t *testing.T) {
	r := Result{Coding: Coding{Origin: Lossless}, Model: &Model{Read: 1e-3, ReadError: 1e-4}}
	e := r.SNR(-4)
	near(t, "SNR", e.Value, 20*math.Log10(0.01125/1e-3), 1e-9)
	near(t, "low", e.Value-e.Low, math.Hypot(10*math.Log10(1.392), common), 1e-9)
	near(t, "high", e.High-e.Value, math.Hypot(10*math.Log10(0.608), common), 1e-9)
	r.Model.ReadError = 3e-4
	if e := r.SNR(-4); curve.Finite(e.Low) || curve.Finite(e.High) || curve.Finite(e.Value) {
		t.Errorf("%+v, want nothing", e)
	}
	r.Model.ReadError = curve.Unknown[curve.Light]()
	if e := r.SNR(-4); curve.Finite(e.Low) || curve.Finite(e.Value) {
		t.Errorf("%+v, want nothing", e)
	}
}

// TestWithoutModel takes floor and SNR from the tones themselves.
func TestWithoutModel(t *testing.T) {
	m := Model{Read: 3e-4, Shot: 2e-5}
	tones := tonesOn(m, 0.01, -10, -9.5, -9, -8.5, -8, -4.5, -3.5)
	if got := crossing(tones, nil, 1); math.Abs(float64(got-m.Floor(1))) > 0.01 {
		t.Errorf("floor %.3f between tones, want %.3f", got, m.Floor(1))
	}
	if got := crossing(tones[3:], nil, 1); curve.Finite(got) {
		t.Errorf("floor %v below the darkest tone", got)
	}
	r := Result{Tones: results(tones, testframes.Reading(t, 10), false, false)}
	e, want := r.SNR(-4), m.SNR(curve.Stops(-4).Light())
	if math.Abs(float64(e.Value-want)) > 0.1 || !(e.Low < want && want < e.High) {
		t.Errorf("SNR %+v dB between tones, want %.2f", e, want)
	}
	// Over a wide gap the noise curve's bend is cut.
	if e := r.SNR(-6); curve.Finite(e.Value) || curve.Finite(e.Low) || curve.Finite(e.High) {
		t.Errorf("SNR %+v over 3.5 stops, want nothing", e)
	}
	for _, stops := range []curve.Stops{-11, -3} {
		if e := r.SNR(stops); curve.Finite(e.Value) {
			t.Errorf("SNR %v at %v stops, where there is no tone", e.Value, stops)
		}
	}
	if curve.Finite(r.Reaching(20)) {
		t.Error("a placement without a model")
	}
	r.Suppressed = true
	if e := r.SNR(-4); curve.Finite(e.Value) {
		t.Errorf("SNR %v although the noise is suppressed", e.Value)
	}
	if r.Model = &m; curve.Finite(r.Reaching(20)) {
		t.Error("a placement although the noise is suppressed")
	}
}

// TestSNRThroughLossyCoding: between tones the tones tell the SNR as recorded, whatever the models say; beyond
// them and over wide gaps the model of the noise as recorded does, with what coding may take besides, but not
// over a tone whose noise coding ironed out; without a model, or where what coding took is not known,
// nothing does.
func TestSNRThroughLossyCoding(t *testing.T) {
	camera := &Model{Read: 2e-3, ReadError: 1e-5}
	r := Result{Model: camera, Recorded: &Model{Read: 1e-3},
		Coding: Coding{Loss: 1.5, Low: 0, High: 4, Origin: CodecFamily},
		Tones: []Tone{{Recorded: -4, SNR: 20, Low: 19, High: 21},
			{Recorded: -3.5, SNR: curve.Unknown[curve.Decibels]()},
			{Recorded: -3, SNR: 26, Low: 24, High: 27},
			{Recorded: 0.5, SNR: 30, Low: 29, High: 31}}}
	bend := 10 * math.Ln2 * math.Ln2 / math.Ln10 / 4 / 2 * 0.5 * 0.5 // dB, in the middle of a stop
	for _, test := range []struct {
		name       string
		at         curve.Stops
		want, half float64
	}{
		{"on a tone", -4, 20, 1},
		{"over a tone without a figure", -3.5, 23, 1.5 + bend},
		// 0.18 / 2 = 0.09 of light against 1e-3.
		{"over a wide gap", -1, 20 * math.Log10(90), 2},
		// 0.18 / 2^6 = 0.0028125 of light against 1e-3; half of 4 dB to either side.
		{"darker than the tones", -6, 20 * math.Log10(2.8125), 2},
	} {
		e := r.SNR(test.at)
		near(t, test.name, e.Value, test.want, 1e-9)
		near(t, test.name+", half its interval", e.Value-e.Low, test.half, 1e-9)
	}
	brighter := r.SNR(2)
	r.Tones = append(r.Tones, Tone{Recorded: 1.5, SNR: curve.Unknown[curve.Decibels](), Below: 0.5})
	if ironed := r.SNR(2); curve.Finite(ironed.Value) || !curve.Finite(brighter.Value) {
		t.Errorf("%+v brighter than the tones, %+v ironed out", brighter, ironed)
	}
	unknown, without := r, r
	unknown.Coding, without.Recorded = unknownCoding("predicted"), nil
	for _, r := range []Result{unknown, without} {
		if e := r.SNR(-6); curve.Finite(e.Value) || !curve.Finite(r.SNR(-3.5).Value) {
			t.Errorf("%+v darker than the tones, %+v between them", e, r.SNR(-3.5))
		}
	}
}

// TestNoAnswer: an interval over 12 dB wide is no answer, and near the ceiling the model does not hold.
func TestNoAnswer(t *testing.T) {
	r := Result{Coding: Coding{Origin: Lossless},
		Model: &Model{Read: 1e-3, ReadError: 2.2e-4}} // 1.96 x 0.44 of the variance: 11.3 dB wide
	if e := r.SNR(-4); !curve.Finite(e.Value) {
		t.Errorf("%+v, want an answer", e)
	}
	if r.Model.ReadError = 2.3e-4; curve.Finite(r.SNR(-4).Value) { // 13.0 dB
		t.Errorf("%+v, want nothing", r.SNR(-4))
	}
	r = Result{Coding: Coding{Origin: Lossless}, Model: &Model{Read: 1e-3, ReadError: 1e-5}, Top: curve.Stops(3).Light()}
	if at, over := r.SNR(3), r.SNR(3.01); !curve.Finite(at.Value) || curve.Finite(over.Value) {
		t.Errorf("%+v at the top, %+v over it", at, over)
	}
}

// TestBelowHalfACode: noise that rounding hides bounds the SNR from below: half a code's, less the tone's error.
func TestBelowHalfACode(t *testing.T) {
	reading := testframes.Reading(t, 10)
	code := reading.FileCode(500)
	one := tone{light: reading.Light(code), code: code, sigma: math.NaN(), sigmaLight: math.NaN(),
		relative: 0.01, places: 50}
	got := one.result(reading, false, false)
	half := 20 * math.Log10(float64(one.light)/(0.5*reading.LightPerCode(code)))
	if curve.Finite(got.SNR) || curve.Finite(got.High) || !(float64(got.Low) < half && float64(got.Low) > half-0.5) {
		t.Errorf("%+v, want a bound a little under %.2f dB", got, half)
	}
	one.doubted = true
	if got := one.result(reading, false, false); curve.Finite(got.Low) || curve.Finite(got.Below) {
		t.Errorf("%+v although the model contradicts it", got)
	}
}

// TestEnds: a first frame of twice the noise variance makes the first pair 1.5 times the usual and the difference
// from first to last frame too, which is no growth.
func TestEnds(t *testing.T) {
	var e ends
	for range leastTold {
		e.add(told{near: 1, opening: 1.5}, 1)
	}
	near(t, "expected", e.expected(), 1.5, 1e-9)
	near(t, "too few", new(ends).expected(), 1.0, 1e-9)
}
