package advise

import (
	"encoding/json"
	"math"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// rounding is how far sums of a few numbers near one may lie apart in their last bits.
const rounding = 1e-12

func nearly(a, b curve.Amount) bool {
	return math.Abs(float64(a-b)) <= rounding*math.Max(1, math.Abs(float64(b)))
}

func about(v, half curve.Amount) *Estimate { return &Estimate{v, v - half, v + half} }

func TestDifference(t *testing.T) {
	for _, test := range []struct {
		name           string
		a, b           *Estimate
		value, half    curve.Amount
		told, nothings bool
	}{
		{"told", about(1.65, 0.03), about(0.02, 0.04), 1.63, 0.05, true, false},
		{"interval holds zero", about(20, 0.3), about(19.6, 0.4), 0.4, 0.5, false, false},
		{"below zero", about(19, 0.3), about(20, 0.4), -1, 0.5, true, false},
		{"no interval", exactly(5.9), about(5.8, 0.1), 0, 0, false, true},
		{"the same without interval", exactly(5.9), exactly(5.9), 0, 0, false, true},
		{"not measured", nil, about(1, 1), 0, 0, false, true},
		{"not measured in the first", about(1, 1), nil, 0, 0, false, true},
	} {
		d := difference(test.a, test.b)
		if test.nothings {
			if d != nil {
				t.Errorf("%s: %v", test.name, d)
			}
			continue
		}
		if !nearly(d.Value, test.value) || d.Told != test.told {
			t.Errorf("%s: %g told %v, want %g told %v", test.name, d.Value, d.Told, test.value, test.told)
		}
		if !d.Bounded() || (!nearly(d.Value-d.Low, test.half) || !nearly(d.High-d.Value, test.half)) {
			t.Errorf("%s: %g..%g, want %g to each side", test.name, d.Low, d.High, test.half)
		}
	}
	lopsided := difference(&Estimate{5, 4, 8}, &Estimate{1, -3, 1})
	if lopsided.Low != 4-1 || lopsided.High != 4+5 {
		t.Errorf("lopsided intervals give %g..%g, want 3..9: sqrt(1+0) below, sqrt(9+16) above", lopsided.Low, lopsided.High)
	}
}

// TestWidened: half intervals of 3 and 4 make 5; without either there is none.
func TestWidened(t *testing.T) {
	if e := about(10, 3).widened(*about(10, 4)); e.Value != 10 || e.Low != 5 || e.High != 15 {
		t.Errorf("3 and 4 give %+v", e)
	}
	if e := (&Estimate{10, 7, 10}).widened(Estimate{10, 10, 12}); e.Low != 7 || e.High != 12 {
		t.Errorf("one-sided intervals give %+v", e)
	}
	if e := about(10, 3).widened(*exactly(10.0)); e.Bounded() {
		t.Errorf("no interval gives %+v", e)
	}
}

func TestInterval(t *testing.T) {
	if exactly(nan) != nil || interval(math.Inf(-1), 0, 1) != nil {
		t.Error("an estimate of no number")
	}
	for _, ends := range [][2]float64{{nan, 3}, {1, nan}, {2.5, 3}, {1, 1.5}, {1, math.Inf(1)}} {
		if e := interval(2, ends[0], ends[1]); e.Bounded() || e.Value != 2 {
			t.Errorf("2 within %v: %+v", ends, e)
		}
	}
	if e := interval(2.0, 1, 3); e.Low != 1 || e.High != 3 {
		t.Errorf("%+v", e)
	}
}

// greyAt is grey found in a card, so many stops over nominal, with half its interval.
func greyAt(stops, half curve.Stops) *placement.Placement {
	return &placement.Placement{Stops: stops, Low: stops - half, High: stops + half, Method: placement.Card}
}

// TestToneSNR: the SNR at a tone of the scene, with the interval of the noise alone where grey is
// known for sure, and with grey's besides.
func TestToneSNR(t *testing.T) {
	steps := []noise.Tone{toneAt(-4, 10, 1), toneAt(-3, 20, 0.5), toneAt(-1, 30, 0.1), toneAt(-0.5, 33, 0.1)}
	model := &noise.Model{Read: 0.001, Shot: 2e-5, ShotError: 2e-6}
	sure := greyAt(1, 0)
	// A sensor's SNR bends by at most 10 ln(2)^2 / (4 ln 10) dB a stop^2; half of that times how far both tones are.
	const mostBend = 10 * math.Ln2 * math.Ln2 / math.Ln10 / 4
	const bend, wideBend = mostBend / 2 * 0.75 * 0.25, mostBend / 2 * 1 * 1
	for _, test := range []struct {
		name            string
		noise           noise.Result
		grey            *placement.Placement
		scene           curve.Stops
		want, low, high float64 // want NaN: nothing; low NaN: no interval
	}{
		{"on a tone", noise.Result{Tones: steps}, sure, -4, 20, 19.5, 20.5},
		{"between tones", noise.Result{Tones: steps}, sure, -4.25, 17.5, 16.875 - bend, 18.125 + bend},
		{"between tones, grey is not sure", noise.Result{Tones: steps}, greyAt(1, 0.1), -4.25,
			17.5, 17.5 - math.Hypot(0.625+bend, 1), 17.5 + math.Hypot(0.625+bend, 1)}, // 10 dB a stop
		{"over a gap without model", noise.Result{Tones: steps}, sure, -3, nan, 0, 0},
		{"over a gap after lossy coding", noise.Result{Tones: steps, Coding: noise.Coding{Origin: noise.CodecFamily}}, sure,
			-3, 25, 24.7 - wideBend, 25.3 + wideBend},
		{"below all tones", noise.Result{Tones: steps}, sure, -6, nan, 0, 0},
		{"grey may lie below all tones", noise.Result{Tones: steps}, greyAt(1, 0.5), -4.75, 12.5, nan, 0},
		{"suppressed", noise.Result{Tones: steps, Coding: lossless, Model: model, Suppressed: true}, sure, -4, nan, 0, 0},
		{"model without grey", noise.Result{Coding: lossless, Model: model}, nil, -3, nan, 0, 0},
		// Light of scene -3 recorded a stop over: 0.18/4 = 0.045; variance 1e-6 + 9e-7 = 1.9e-6;
		// 20 log10(0.045) - 10 log10(1.9e-6) = 30.2767 dB. The shot error moves the variance by
		// 1.96 x 0.045 x 2e-6 = 1.764e-7; what all tones share is 20 log10(1 + 1.96 x 0.03 / 2) dB, in squares.
		{"model", noise.Result{Tones: steps, Coding: lossless, Model: model}, sure, -3, 30.27671, 29.81626, 30.76907},
		// At 0.1 stop less and more light 29.81465 and 30.73358 dB; half intervals add in squares
		// (worked in Python).
		{"model, grey is not sure", noise.Result{Coding: lossless, Model: model}, greyAt(1, 0.1),
			-3, 30.27671, 29.62440, 30.94839},
		{"model with errors as large as itself",
			noise.Result{Coding: lossless, Model: &noise.Model{Read: 0.001, ReadError: 0.01}}, sure, -3, nan, nan, 0},
		{"model of no noise", noise.Result{Coding: lossless, Model: &noise.Model{}}, sure, -3, nan, 0, 0},
	} {
		const printed = 5e-5 // the expected values are given to four decimals
		got := toneSNR(Measured{Noise: &test.noise, Placement: test.grey}, test.scene)
		off := func(v curve.Amount, want float64) bool { return math.Abs(float64(v)-want) > printed }
		switch {
		case math.IsNaN(test.want):
			if got != nil {
				t.Errorf("%s: %v, want nothing", test.name, got)
			}
		case got == nil || off(got.Value, test.want):
			t.Errorf("%s: %+v, want %g", test.name, got, test.want)
		case math.IsNaN(test.low) == got.Bounded():
			t.Errorf("%s: low end %v, want %g", test.name, got.Low, test.low)
		case got.Bounded() && (off(got.Low, test.low) || off(got.High, test.high)):
			t.Errorf("%s: %g..%g, want %g..%g", test.name, got.Low, got.High, test.low, test.high)
		}
	}
}

// take is a clip by its grey, its noise and what it clips. Its floor is 9 stops under nominal, its
// ceiling 6 over.
func take(path string, grey *placement.Placement, read curve.Light, lost curve.Share) Measured {
	return Measured{Path: path, Placement: grey,
		Noise: &noise.Result{Floor: -9, Coding: lossless, Model: &noise.Model{Read: read, ReadError: read / 100}},
		Clipping: &clipping.Result{Headroom: 2, Ceiling: clipping.Ceiling{Recorded: 6, Origin: clipping.Measured},
			Clipped: clipping.Shares{R: lost, Any: lost}}}
}

// TestCompare: each take against the first, the same figures in the same order.
func TestCompare(t *testing.T) {
	c := Compare([]Measured{take("a.mov", greyAt(0, 0.06), 0.001, 0), take("b.mov", greyAt(1.5, 0.08), 0.001, 0.02),
		take("c.mov", nil, 0.001, 0)})
	if len(c.Takes) != 3 || len(c.Takes[0].Figures) != 20 {
		t.Fatalf("%d takes, %d figures", len(c.Takes), len(c.Takes[0].Figures))
	}
	for i, f := range c.Takes[1].Figures {
		if first := c.Takes[0].Figures[i]; first.Name != f.Name || first.Unit != f.Unit || first.Difference != nil {
			t.Errorf("figure %d is %+v, and %+v in the first take", i, f, first)
		}
	}
	for name, want := range map[string]Estimate{
		"placement":     {1.5, 1.4, 1.6},          // 0.06 and 0.08 in squares
		"scene_ceiling": {-1.5, -1.6149, -1.3851}, // 6 and 4.5; 0.04 each for the ceilings
		"ceiling":       {0, -0.0566, 0.0566},
		"headroom":      {0, -0.1523, 0.1523},   // 0.04 and 0.1 in squares, twice
		"clipped_r":     {0.02, 0.0073, 0.0325}, // 0.0125, and 0.0025 of nothing lost, which lies below
		// 6.0206 dB a stop of read noise. Half intervals of the noise are 0.1670 dB down and 0.1737 up
		// (10 log10(1 ± 0.0392)), of what all tones of a clip share 0.2517 (20 log10(1 + 1.96 x 0.03 / 2)) each,
		// of the greys 0.3612 and 0.4816 dB.
		"snr": {9.0309, 8.2912, 9.7706},
	} {
		f := c.Takes[1].find(name, -4)
		off := func(a, b curve.Amount) bool { return math.Abs(float64(a-b)) > 1e-4 } // as printed above
		if d := f.Difference; d == nil || off(d.Value, want.Value) || d.Bounded() != want.Bounded() {
			t.Errorf("%s differs by %+v, want %+v", name, f.Difference, want)
		} else if off(d.Low, want.Low) || off(d.High, want.High) {
			t.Errorf("%s: %v..%v, want %v..%v", name, d.Low, d.High, want.Low, want.High)
		}
	}
	if d := c.Takes[1].find("floor", 0).Difference; d != nil {
		t.Errorf("floors without intervals differ by %+v", d)
	}
	for _, name := range []string{"placement", "snr", "scene_floor", "scene_ceiling"} {
		if f := c.Takes[2].find(name, -4); f.Value != nil || f.Difference != nil {
			t.Errorf("%s of a take without grey: %+v", name, f)
		}
	}
	if f := c.Takes[2].find("floor", 0); f.Value == nil || f.Value.Value != -9 {
		t.Errorf("the floor of a take without grey: %+v", f)
	}
}

// TestCeilingNotSeen: a ceiling that one take shows at +6 and another, which does not reach it, puts no lower
// than the curve's end at +7.7, is one camera's: the difference has an interval and is not told. One seen 2.5
// stops lower than where the other's content still held is.
func TestCeilingNotSeen(t *testing.T) {
	seen, unseen := take("a.mov", greyAt(0, 0.06), 0.001, 0), take("b.mov", greyAt(1.5, 0.08), 0.001, 0)
	unseen.Clipping.Ceiling = clipping.Ceiling{Recorded: 7.7, Origin: clipping.CurveEnd}
	d := Compare([]Measured{seen, unseen}).Takes[1].find("ceiling", 0).Difference
	if d == nil || d.Told || math.Abs(float64(d.Value)-1.7) > 1e-9 || !(d.Low < 0) || !(d.High > 1.7) {
		t.Errorf("at +6 and at most +7.7: %+v", d)
	}
	seen.Clipping.Ceiling.Recorded, unseen.Clipping.Ceilings.Held = 5.2, 5.8
	if d := Compare([]Measured{seen, unseen}).Takes[1].find("ceiling", 0).Difference; d == nil || !d.Told {
		t.Errorf("at +5.2 and no lower than +5.7: %+v", d)
	}
}

// TestComparedWithItself: the first take is compared with nothing, and a take with itself differs
// by nothing.
func TestComparedWithItself(t *testing.T) {
	over := take("over.mov", greyAt(1.65, 0.02), 0.002, 0.01)
	c := Compare([]Measured{over, over})
	for i, f := range c.Takes[1].Figures {
		if c.Takes[0].Figures[i].Difference != nil {
			t.Errorf("%s of the first take has a difference", f.Name)
		}
		if f.Value != nil && f.Value.Bounded() && (f.Difference.Told || f.Difference.Value != 0) {
			t.Errorf("%s differs from itself: %+v", f.Name, f.Difference)
		}
	}
	if c.Recommendation.Take != nil {
		t.Error(c.Recommendation.Reason)
	}
}

// TestComparisonJSON: what is not known is null, and the names are those of the schema.
func TestComparisonJSON(t *testing.T) {
	c := Comparison{Takes: []Take{{Path: "a.mov", Figures: []Figure{
		{Name: "floor", Unit: "stops", Value: exactly(-9.25), Difference: difference(about(-9.25, 0), about(-9, 0))},
		{Name: "snr", Unit: "dB", SceneStops: new(curve.Stops)},
	}}}}
	got, err := json.Marshal(c)
	want := `{"takes":[{"path":"a.mov","figures":[{"name":"floor","unit":"stops","scene_stops":null,` +
		`"value":{"value":-9.25,"low":null,"high":null},` +
		`"difference":{"value":-0.25,"low":-0.25,"high":-0.25,"told":true}},` +
		`{"name":"snr","unit":"dB","scene_stops":0,"value":null,"difference":null}]}],` +
		`"recommendation":{"take":null,"path":null,"reason":""}}`
	if err != nil || string(got) != want {
		t.Errorf("%v\n got %s\nwant %s", err, got, want)
	}
	if none, err := json.Marshal(Compare(nil)); err != nil || string(none[:12]) != `{"takes":[],` {
		t.Errorf("%v, no takes: %s", err, none)
	}
}

func TestLetter(t *testing.T) {
	for i, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 27: "AB", 701: "ZZ", 702: "AAA"} {
		if got := Letter(i); got != want {
			t.Errorf("%d: got %s, want %s", i, got, want)
		}
	}
}
