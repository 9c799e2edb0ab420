package advise

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// A choice is one value of something that advice rests on, and the findings it must raise.
type choice struct {
	name string
	set  func(*Facts)
	ids  []ID
}

func weakly(method placement.Method, stops curve.Stops) func(*Facts) {
	return func(f *Facts) { f.Placement = &placement.Placement{Stops: stops, Method: method, Weak: true} }
}

// overTarget places grey over the target.
func overTarget(stops curve.Stops) func(*Facts) {
	return func(f *Facts) { placed(f.Target + stops)(f) }
}

func modelled(f *Facts) { f.Noise.Model = &noise.Model{Read: 1e-4, Shot: 1e-5} }

var (
	placementChoices = []choice{
		{"no grey", func(*Facts) {}, []ID{GreyWeak}},
		{"scene", weakly(placement.Scene, 1.4), []ID{GreyWeak}},
		{"face", weakly(placement.Face, -2.4), []ID{GreyWeak}},
		{"at target", overTarget(0), nil},
		{"a hair over", overTarget(0.31), nil},
		{"over", overTarget(1.65), []ID{GreyOver}},
		{"far over", overTarget(4), []ID{GreyOver}},
		{"under", overTarget(-1), []ID{GreyUnder}},
		{"far under", overTarget(-3), []ID{GreyUnder}},
	}
	noiseChoices = []choice{
		{"model", modelled, nil},
		{"tones", func(f *Facts) {
			for stops := curve.Stops(-10); stops <= 2; stops++ { // from 5 dB to 57
				f.Noise.Tones = append(f.Noise.Tones, toneAt(stops, 5+52*curve.Decibels(stops+10)/12, 1))
			}
		}, nil},
		{"lossy", func(f *Facts) { modelled(f); f.LossyCodec = true }, []ID{NoiseRecorded}},
		{"suppressed", func(f *Facts) {
			f.Noise.Suppressed, f.Noise.Reason = true, "3.0 % of the picture repeats the frame before exactly"
			f.LossyCodec = true
		}, []ID{NoiseSuppressed}},
		{"nothing", func(*Facts) {}, nil},
	}
	clippingChoices = []choice{
		{"none", func(*Facts) {}, nil},
		{"points", clipped(evenly(0.00002), points(0.00002)), []ID{PointsClipped}},
		{"field", clipped(evenly(0.02), field(0.02, 0)), []ID{FieldClipped}},
		{"sky", clipped(evenly(0.3), field(0.3, 0)), []ID{FieldClipped}},
		{"one channel", clipped(clipping.Shares{B: 0.04, Any: 0.04}, field(0.04, 1)), []ID{FieldClipped, ChannelClipped}},
	}
	variationChoices = []choice{
		{"steady", func(*Facts) {}, nil},
		{"step", func(f *Facts) { f.Variation.Step, f.Variation.StepAt = -0.4, 2 }, []ID{Step}},
		{"drift", func(f *Facts) { f.Variation.Drift = 0.3 }, []ID{Drift}},
		{"flicker", func(f *Facts) { f.Variation.Flicker, f.Variation.FlickerHz = 0.05, 4 }, []ID{Flicker}},
		{"drift and flicker", func(f *Facts) {
			f.Variation.Drift, f.Variation.Flicker, f.Variation.FlickerHz = -0.3, 0.05, 4
		}, []ID{Drift, Flicker}},
	}
)

// TestAllCombinations puts every placement, noise, clipping and variation together, for two
// targets: each raises its own findings whatever the others are, plus those that rest on more than
// one.
func TestAllCombinations(t *testing.T) {
	for _, target := range []curve.Stops{0, 1} {
		for _, p := range placementChoices {
			for _, n := range noiseChoices {
				for _, c := range clippingChoices {
					for _, v := range variationChoices {
						name := strings.Join([]string{fmt.Sprint(target), p.name, n.name, c.name, v.name}, "/")
						t.Run(name, func(t *testing.T) { checkChoices(t, target, p, n, c, v) })
					}
				}
			}
		}
	}
}

func checkChoices(t *testing.T, target curve.Stops, choices ...choice) {
	f := clearFacts(t)
	f.Target = target
	var want []ID
	for _, c := range choices {
		c.set(&f)
		want = append(want, c.ids...)
	}
	a := Advise(f)
	checkTexts(t, a)
	checkAction(t, f, a)
	checkAfter(t, f, a)
	checkIDs(t, a, append(want, jointFindings(f, a)...))
}

// jointFindings are those that rest on more than one thing.
func jointFindings(f Facts, a Advice) (ids []ID) {
	for _, area := range f.Clipping.Areas {
		// Pulled four stops, a ceiling six stops over grey is 0.72 of white: 87 % signal.
		if area.Kind == clipping.Field && a.Correction() == -4 {
			ids = append(ids, GreyCeiling)
		}
	}
	if a.After.SNR < 20 {
		ids = append(ids, ShadowsThin)
	}
	for _, g := range a.Graded {
		if curve.Finite(g.Visible) && (g.Name != asRecorded || a.Correction() == 0) {
			return append(ids, NoiseVisible)
		}
	}
	return ids
}

func checkIDs(t *testing.T, a Advice, want []ID) {
	t.Helper()
	var got []ID
	for _, f := range a.Findings {
		got = append(got, f.ID)
		if f.Level.Rank() == 0 {
			t.Errorf("%s has level %q", f.ID, f.Level)
		}
		if f.Level.Rank() > a.Worst().Rank() {
			t.Errorf("the worst level is %q, of %s %q", a.Worst(), f.ID, f.Level)
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
	var want curve.Stops
	action := None
	if f.Placement != nil && !f.Placement.Weak {
		want, action = f.Target-f.Placement.Stops, Hold // every placement here is known to 0.05 stops
		if math.Abs(float64(want)) <= 0.25 {
			want = 0
		}
	}
	switch {
	case want < 0:
		action = Pull
	case want > 0:
		action = Lift
	}
	if a.Action != action || math.Abs(float64(a.Correction()-want)) > 1e-12 || math.Signbit(float64(a.Stops)) {
		t.Errorf("%s by %v, want %s by %v", a.Action, a.Stops, action, want)
	}
	if c := a.Change(f.Placement); c.Action != a.Action {
		t.Errorf("JSON says %s, text says %s", a.Action, c)
	}
}

func checkAfter(t *testing.T, f Facts, a Advice) {
	t.Helper()
	usable := f.Placement != nil && !f.Placement.Weak
	known := usable && !f.Noise.Suppressed && (f.Noise.Model != nil || len(f.Noise.Tones) > 0)
	if r := a.After; known != curve.Finite(r.SNR) || known != curve.Finite(r.Nominal) || known != curve.Finite(r.Gain) {
		t.Errorf("after %+v; known is %v", r, known)
	}
	if known && a.After.Gain != a.After.SNR-a.After.Nominal {
		t.Errorf("a gain of %v from %v to %v", a.After.Gain, a.After.Nominal, a.After.SNR)
	}
	if known && f.Noise.Model != nil && len(a.Next.For) != 3 {
		t.Errorf("%d placements for an SNR, want 3", len(a.Next.For))
	}
	if !(a.After.Ceiling > 80 && a.After.Ceiling <= 100) {
		t.Errorf("the ceiling lands at %v", a.After.Ceiling)
	}
	if usable == (!curve.Finite(a.Next.Stops) && !curve.Finite(a.Next.Zebra)) {
		t.Errorf("next take %+v without grey, or none with it", a.Next)
	}
	if usable != (len(a.Graded) > 0) || a.Findings == nil || a.Next.For == nil {
		t.Errorf("%d grades, findings %v, next take for %v", len(a.Graded), a.Findings, a.Next.For)
	}
}

// TestOrder: findings come in the order of the instruments, those of the whole picture last.
func TestOrder(t *testing.T) {
	f := clearFacts(t)
	placed(3)(&f)
	clipped(evenly(0.3), field(0.3, 0))(&f)
	f.Noise.Model, f.LossyCodec = &noise.Model{Read: 0.01}, true
	f.Variation.Step, f.Variation.StepAt = 0.4, 1
	f.Doubts = []Finding{{TagDoubt, Note, "Tags differ."}}
	f.Lost, f.Interlaced = 2, true
	want := []ID{GreyOver, FieldClipped, NoiseRecorded, ShadowsThin, Step, TagDoubt, Truncated, Interlaced, NoiseVisible}
	var got []ID
	for _, found := range Advise(f).Findings {
		got = append(got, found.ID)
	}
	if !slices.Equal(got, want) {
		t.Errorf("findings %v, want %v", got, want)
	}
}
