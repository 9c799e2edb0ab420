package analyze

import (
	"fmt"
	"image"
	"math"
	"slices"
	"strings"
	"testing"

	"stopledger/curve"
)

// checkTexts fails for texts that show what is no number, a zero with a sign, or a share of
// nothing.
func checkTexts(t *testing.T, a Advice) {
	t.Helper()
	texts := []string{a.Next.Text}
	for _, f := range a.Findings {
		texts = append(texts, f.Text)
	}
	for _, text := range texts {
		for _, bad := range []string{"NaN", "Inf", "-0.0 ", "-0.00 ", " -0 ", "%!", "+0.0 ", "+0.00 ", "(0.00 %", " 0.0 %", " 0 %"} {
			if strings.Contains(text, bad) {
				t.Errorf("text shows %q: %s", bad, text)
			}
		}
		if text == "" || !strings.HasSuffix(text, ".") {
			t.Errorf("not a sentence: %q", text)
		}
	}
}

// A choice is one value of something that advice rests on, and the findings it must raise.
type choice struct {
	name string
	set  func(*Facts)
	ids  []string
}

var nothingVaries = Variation{math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN()}

func placed(stops float64) func(*Facts) {
	return func(f *Facts) {
		f.Placement = &Placement{Stops: stops, Low: stops - 0.05, High: stops + 0.05, Method: "region", Confidence: math.NaN(), Reflectance: 0.18, Drift: math.NaN()}
	}
}

func clipping(clipped Shares, areas ...Area) func(*Facts) {
	return func(f *Facts) {
		f.Highlights.Areas, f.Highlights.Clipped = areas, clipped
		for _, a := range areas {
			if a.Field {
				f.Highlights.Headroom = math.NaN()
			}
		}
	}
}

var (
	placements = []choice{
		{"no grey", func(*Facts) {}, []string{"grey-weak"}},
		{"scene", func(f *Facts) { f.Placement = &Placement{Stops: 1.4, Method: "scene", Weak: true} }, []string{"grey-weak"}},
		{"face", func(f *Facts) { f.Placement = &Placement{Stops: -2.4, Method: "face", Weak: true} }, []string{"grey-weak"}},
		{"at target", func(f *Facts) { placed(f.Target)(f) }, nil},
		{"a hair over", func(f *Facts) { placed(f.Target + 0.3)(f) }, nil},
		{"over", func(f *Facts) { placed(f.Target + 1.65)(f) }, []string{"grey-over"}},
		{"far over", func(f *Facts) { placed(f.Target + 4)(f) }, []string{"grey-over"}},
		{"under", func(f *Facts) { placed(f.Target - 1)(f) }, []string{"grey-under"}},
		{"far under", func(f *Facts) { placed(f.Target - 3)(f) }, []string{"grey-under"}},
	}
	noises = []choice{
		{"model", func(f *Facts) { f.Noise.Model = &Model{Read: 1e-4, Shot: 1e-5} }, nil},
		{"tones", func(f *Facts) {
			f.Noise.Tones = []Tone{{Stops: -10, Linear: curve.FromStops(-10), SigmaLinear: 1e-5}, {Stops: 2, Linear: curve.FromStops(2), SigmaLinear: 1e-3}}
		}, nil},
		{"lossy", func(f *Facts) { f.Noise.Model, f.LossyCodec = &Model{Read: 1e-4, Shot: 1e-5}, true }, []string{"noise-recorded"}},
		{"suppressed", func(f *Facts) {
			f.Noise.Suppressed, f.LossyCodec = "3.0 % of the picture repeats the frame before exactly", true
		}, []string{"noise-suppressed"}},
		{"nothing", func(*Facts) {}, nil},
	}
	clippings = []choice{
		{"none", func(*Facts) {}, nil},
		{"points", clipping(Shares{0.00002, 0.00002, 0.00002, 0.00002, 0.00002}, Area{Share: 0.00002, Peak: 0.00002}), []string{"points-clipped"}},
		{"field", clipping(Shares{0.02, 0.02, 0.02, 0.02, 0.02}, Area{Share: 0.02, Peak: 0.02, Field: true}), []string{"field-clipped"}},
		{"sky", clipping(Shares{0.3, 0.3, 0.3, 0.3, 0.3}, Area{Share: 0.3, Peak: 0.3, Field: true}), []string{"field-clipped"}},
		{"one channel", clipping(Shares{0, 0, 0.04, 0.04, 0}, Area{Share: 0.04, Peak: 0.04, Hue: 1, Field: true}), []string{"field-clipped", "channel-clipped"}},
	}
	variationChoices = []choice{
		{"steady", func(*Facts) {}, nil},
		{"step", func(f *Facts) { f.Variation.Step, f.Variation.StepAt = -0.5, 2 }, []string{"step"}},
		{"drift", func(f *Facts) { f.Variation.Drift = 0.3 }, []string{"drift"}},
		{"flicker", func(f *Facts) { f.Variation.Flicker, f.Variation.FlickerHz = 0.05, 4 }, []string{"flicker"}},
		{"drift and flicker", func(f *Facts) {
			f.Variation.Drift, f.Variation.Flicker, f.Variation.FlickerHz = -0.3, 0.05, 4
		}, []string{"drift", "flicker"}},
	}
)

// clearFacts are of a clip about which there is nothing to say. Its ceiling is six stops over
// grey.
func clearFacts(t testing.TB) Facts {
	t.Helper()
	r := readingOf(t, 10)
	return Facts{Noise: &Noise{}, Reading: r, Variation: nothingVaries,
		Highlights: Highlights{Ceiling: Ceiling{Code: r.CodeOf(curve.FromStops(6)), Measured: true}, Headroom: 2, Brightest: 4}}
}

// TestAdviceOverAllCombinations puts every placement, noise, clipping and variation together,
// for two targets: each raises its own findings whatever the others are, plus the two that rest
// on more than one.
func TestAdviceOverAllCombinations(t *testing.T) {
	for _, target := range []float64{0, 1} {
		for _, p := range placements {
			for _, n := range noises {
				for _, c := range clippings {
					for _, v := range variationChoices {
						f := clearFacts(t)
						f.Target = target
						var want []string
						for _, choice := range []choice{p, n, c, v} {
							choice.set(&f)
							want = append(want, choice.ids...)
						}
						a := Advise(f)
						t.Run(strings.Join([]string{fmt.Sprint(target), p.name, n.name, c.name, v.name}, "/"), func(t *testing.T) {
							checkTexts(t, a)
							checkAction(t, f, a)
							checkAfter(t, f, a)
							checkIDs(t, a, append(want, jointFindings(f, a)...))
						})
					}
				}
			}
		}
	}
}

// jointFindings are those that rest on more than one thing.
func jointFindings(f Facts, a Advice) (ids []string) {
	for _, area := range f.Highlights.Areas {
		// Pulled four stops, a ceiling six stops over grey is 0.72 of white: 87 % signal.
		if area.Field && a.Correction() == -4 {
			ids = append(ids, "grey-ceiling")
		}
	}
	if a.After.SNR < 20 {
		ids = append(ids, "shadows-thin")
	}
	return ids
}

func checkIDs(t *testing.T, a Advice, want []string) {
	t.Helper()
	var got []string
	for _, f := range a.Findings {
		got = append(got, f.ID)
		if f.Level != Note && f.Level != Caution && f.Level != Alarm {
			t.Errorf("%s has level %q", f.ID, f.Level)
		}
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("findings %v, want %v", got, want)
	}
}

func checkAction(t *testing.T, f Facts, a Advice) {
	t.Helper()
	want := 0.0
	if f.Placement != nil && !f.Placement.Weak {
		want = f.Target - f.Placement.Stops
		if math.Abs(want) < 0.15 {
			want = 0
		}
	}
	action := "hold"
	switch {
	case want < 0:
		action = "pull"
	case want > 0:
		action = "lift"
	}
	if a.Action != action || math.Abs(a.Correction()-want) > 1e-12 || math.Signbit(a.Stops) {
		t.Errorf("%s by %v, want %s by %v", a.Action, a.Stops, action, math.Abs(want))
	}
}

func checkAfter(t *testing.T, f Facts, a Advice) {
	t.Helper()
	known := f.Placement != nil && !f.Placement.Weak && f.Noise.Suppressed == "" && (f.Noise.Model != nil || len(f.Noise.Tones) > 0)
	if known == (math.IsNaN(a.After.SNR) || math.IsNaN(a.After.Nominal)) {
		t.Errorf("SNR %v, nominal %v; known is %v", a.After.SNR, a.After.Nominal, known)
	}
	if known && f.Noise.Model != nil && len(a.Next.For) != 3 {
		t.Errorf("%d placements for an SNR, want 3", len(a.Next.For))
	}
	if !(a.After.Ceiling > 80 && a.After.Ceiling <= 100) {
		t.Errorf("the ceiling lands at %v %%", a.After.Ceiling)
	}
	if (f.Placement == nil || f.Placement.Weak) != (math.IsNaN(a.Next.Stops) && math.IsNaN(a.Next.Zebra)) {
		t.Errorf("next take %+v without grey, or none with it", a.Next)
	}
}

// TestAdviceLimits puts each limit's quantity just below and just above the limit.
func TestAdviceLimits(t *testing.T) {
	snr := func(db float64) func(*Facts) {
		return func(f *Facts) {
			placed(0)(f)
			f.Noise.Model = &Model{Read: curve.FromStops(shadowStops) / math.Pow(10, db/20)}
		}
	}
	field := func(share, hue float64) func(*Facts) {
		return clipping(Shares{Any: share, All: share * (1 - hue)}, Area{Share: share, Peak: share, Hue: hue, Field: true})
	}
	for _, tc := range []struct {
		name         string
		limit        float64
		set          func(v float64) func(*Facts)
		id           string
		below, above string // level of the finding, "" for none
	}{
		{"grey over", 0.5, placed, "grey-over", "", Note},
		{"far over", 2.5, placed, "grey-over", Note, Caution},
		{"grey under", 0.3, func(v float64) func(*Facts) { return placed(-v) }, "grey-under", "", Caution},
		{"far under", 2, func(v float64) func(*Facts) { return placed(-v) }, "grey-under", Caution, Alarm},
		{"thin", -20, func(v float64) func(*Facts) { return snr(-v) }, "shadows-thin", "", Caution},
		{"dead", -12, func(v float64) func(*Facts) { return snr(-v) }, "shadows-thin", Caution, Alarm},
		{"large field", 0.1, func(v float64) func(*Facts) { return field(v, 0) }, "field-clipped", Caution, Alarm},
		{"hue of a field", 0.25, func(v float64) func(*Facts) { return field(0.004, v) }, "channel-clipped", "", Caution},
		{"gap of channels", 0.01, func(v float64) func(*Facts) { return clipping(Shares{Any: v}, Area{Share: v, Peak: v}) }, "channel-clipped", "", Caution},
		// A ceiling of 0.9167 of white shows at 92 %: 0.6 + 0.4 (1 - exp(-0.3167/0.4)) = 0.92^2.4.
		{"grey ceiling", -0.9167, func(v float64) func(*Facts) {
			return func(f *Facts) {
				field(0.02, 0)(f)
				f.Highlights.Ceiling.Code = f.Reading.CodeOf(-v)
			}
		}, "grey-ceiling", "", Caution},
	} {
		for side, want := range map[float64]string{-0.0004: tc.below, 0.0004: tc.above} {
			f := clearFacts(t)
			tc.set(tc.limit + side)(&f)
			a := Advise(f)
			checkTexts(t, a)
			if got := levelOf(a, tc.id); got != want {
				t.Errorf("%s at %v: level %q, want %q", tc.name, tc.limit+side, got, want)
			}
		}
	}
}

func levelOf(a Advice, id string) string {
	for _, f := range a.Findings {
		if f.ID == id {
			return f.Level
		}
	}
	return ""
}

// TestSmallCorrectionsHold: corrections under 0.15 stop are not advised.
func TestSmallCorrectionsHold(t *testing.T) {
	for _, tc := range []struct {
		off    float64
		action string
	}{{0, "hold"}, {0.149, "hold"}, {-0.149, "hold"}, {0.151, "pull"}, {-0.151, "lift"}} {
		f := clearFacts(t)
		f.Target = 1
		placed(1 + tc.off)(&f)
		if a := Advise(f); a.Action != tc.action {
			t.Errorf("%+.3f stops off: %s, want %s", tc.off, a.Action, tc.action)
		}
	}
}

// TestNextTake checks what is to change on the next take.
func TestNextTake(t *testing.T) {
	window := Area{Box: image.Rect(0, 0, 64, 64), Share: 0.05, Peak: 0.05, Field: true}
	for _, tc := range []struct {
		name      string
		placement float64
		headroom  float64
		read      float64 // noise of the model
		clipped   []Area
		unseen    bool // no ceiling is seen: the camera may end two stops below the curve
		stops     float64
		text      string
	}{
		{"a field clips over the target", 1.5, 0, 1e-4, []Area{window}, false, -1.5, "Close down 1.5 stops"},
		{"a field clips at the target", 0, 0, 1e-4, []Area{window}, false, 0, "shade or filter"},
		{"a field clips just over the target", 0.14, 0, 1e-4, []Area{window}, false, 0, "shade or filter"},
		// 26 dB at -4 stops wants a light of 0.2 where the noise is 0.01: +4.15 stops.
		{"noisy with room", 0, 2, 0.01, nil, false, 1.7, "Open up 1.7 stops: shadows gain, and the brightest content stays at least 0.3 stops under"},
		{"noisy with ample room", 0, 6, 0.01, nil, false, 4.148, "Open up 4.1 stops"},
		{"noisy without room", 0, 0.4, 0.01, nil, false, 0, "Keep this exposure."},
		{"clean with room", 0, 2, 1e-4, nil, false, 0, "Keep this exposure; up to 1.7 stops more would still hold the highlights."},
		{"clean, ceiling not seen", 0, 2, 1e-4, nil, true, 0, "Keep this exposure."},
		{"noisy, ceiling not seen", 0, 4, 0.01, nil, true, 1.7, "Open up 1.7 stops"},
	} {
		f := clearFacts(t)
		placed(tc.placement)(&f)
		f.Highlights.Areas, f.Highlights.Headroom, f.Highlights.Ceiling.Measured = tc.clipped, tc.headroom, !tc.unseen
		f.Noise.Model = &Model{Read: tc.read}
		n := Advise(f).Next
		if math.Abs(n.Stops-tc.stops) > 0.01 || !strings.Contains(n.Text, tc.text) {
			t.Errorf("%s: %+.3f stops, %q; want %+.3f, %q", tc.name, n.Stops, n.Text, tc.stops, tc.text)
		}
		// Zebra percent of S-Log3 by placement: Technical Summary for S-Log3, worked: 41 % is grey.
		want := f.Reading.Percent(f.Reading.CodeOf(0.18 * math.Exp2(tc.placement+tc.stops)))
		if math.Abs(n.Zebra-want) > 0.1 {
			t.Errorf("%s: zebra %.2f %%, want %.2f", tc.name, n.Zebra, want)
		}
	}
}

// TestZebraOfPlacement: S-Log3 grey by placement reads -2 24.6 %, -1 32.3, 0 40.6, +1 49.3,
// +1.65 55.0, +2 58.1, +3 67.0 % (worked from the Technical Summary for S-Log3, Sony). What a
// placement needs for 20, 26 and 32 dB reads accordingly.
func TestZebraOfPlacement(t *testing.T) {
	for stops, want := range map[float64]float64{-2: 24.6, -1: 32.3, 0: 40.6, 1: 49.3, 1.65: 55.0, 2: 58.1, 3: 67.0} {
		f := clearFacts(t)
		f.Target = stops
		placed(stops)(&f)
		f.Noise.Model = &Model{Read: curve.FromStops(stops+shadowStops) / math.Pow(10, 26.0/20)}
		n := Advise(f).Next
		if math.Abs(n.Zebra-want) > 0.06 {
			t.Errorf("%+.2f stops: %.2f %%, want %.1f", stops, n.Zebra, want)
		}
		if p := n.For[1]; p.SNR != 26 || math.Abs(p.Placement-stops) > 1e-9 || math.Abs(p.Zebra-want) > 0.06 {
			t.Errorf("26 dB at %+.3f stops, %.2f %%; want %+.2f, %.1f", p.Placement, p.Zebra, stops, want)
		}
	}
}

// TestNoSignedZeros: shadows about as strong as their noise, and a hold just off target.
func TestNoSignedZeros(t *testing.T) {
	f := clearFacts(t)
	placed(-0.02)(&f)
	f.Noise.Model = &Model{Read: curve.FromStops(-4)}
	a := Advise(f)
	checkTexts(t, a)
	if !(a.After.SNR < 0 && a.After.SNR > -0.5) || levelOf(a, "shadows-thin") != Alarm {
		t.Errorf("SNR %v, findings %+v", a.After.SNR, a.Findings)
	}
}
