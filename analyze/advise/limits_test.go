package advise

import (
	"strings"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/curve"
)

// TestLimits puts each limit's quantity just below and just above the limit.
func TestLimits(t *testing.T) {
	under := func(v float64) func(*Facts) { return placed(curve.Stops(-v)) }
	over := func(v float64) func(*Facts) { return placed(curve.Stops(v)) }
	snr := func(less float64) func(*Facts) {
		return func(f *Facts) {
			placed(0)(f)
			f.Noise.Model = readNoise(-less, 0)
		}
	}
	darker := func(less float64) func(*Facts) {
		return func(f *Facts) {
			placed(-0.5)(f)
			f.Noise.Model = readNoise(-less, -0.5)
		}
	}
	skyOf := func(share, some curve.Share) func(*Facts) {
		return clipped(clipping.Shares{Any: share, All: share * (1 - some)}, field(share, some))
	}
	gap := func(v float64) func(*Facts) {
		return clipped(clipping.Shares{Any: curve.Share(v)}, points(curve.Share(v)))
	}
	for _, tc := range []struct {
		name         string
		limit        float64
		set          func(v float64) func(*Facts)
		id           ID
		below, above Level // of the finding, "" for none
	}{
		{"grey over", 0.5, over, GreyOver, "", Note},
		{"far over", 2.5, over, GreyOver, Note, Caution},
		{"grey under", 0.3, under, GreyUnder, "", Caution},
		{"far under", 2, under, GreyUnder, Caution, Alarm},
		{"thin", -20, snr, ShadowsThin, "", Caution},
		{"dead without fault", -12, snr, ShadowsThin, Caution, Caution},
		{"dead and underexposed", -12, darker, ShadowsThin, Caution, Alarm},
		{"large field", 0.1, func(v float64) func(*Facts) { return skyOf(curve.Share(v), 0) }, FieldClipped, Caution, Alarm},
		{"hue of a field", 0.25, func(v float64) func(*Facts) { return skyOf(0.004, curve.Share(v)) }, ChannelClipped,
			"", Caution},
		{"gap of channels", 0.01, gap, ChannelClipped, "", Caution},
		// A ceiling of 0.9167 of white shows at 92 %: 0.6 + 0.4 (1 - exp(-0.3167/0.4)) = 0.92^2.4.
		{"grey ceiling", -0.9167, func(v float64) func(*Facts) {
			return func(f *Facts) {
				skyOf(0.02, 0)(f)
				f.Clipping.Ceiling.Code = f.Reading.Code(f.Reading.CodeOf(curve.Light(-v)))
			}
		}, GreyCeiling, "", Caution},
	} {
		for side, want := range map[float64]Level{-0.0004: tc.below, 0.0004: tc.above} {
			f := clearFacts(t)
			tc.set(tc.limit + side)(&f)
			a := Advise(f)
			checkTexts(t, a)
			if got := levelOf(a, tc.id); got != want {
				t.Errorf("%s at %v: level %q, want %q", tc.name, tc.limit+side, got, want)
			}
			if a.NeedsPerson() != (a.Worst() == Alarm) || want == Alarm && !a.NeedsPerson() {
				t.Errorf("%s at %v: worst level %q, needs a person: %v", tc.name, tc.limit+side, a.Worst(), a.NeedsPerson())
			}
		}
	}
}

// TestNoSignedZeros: shadows about as strong as their noise, and a hold just off target.
func TestNoSignedZeros(t *testing.T) {
	f := clearFacts(t)
	placed(-0.02)(&f)
	f.Noise.Model = &noise.Model{Read: curve.Stops(-4).Light()}
	a := Advise(f)
	checkTexts(t, a)
	if !(a.After.SNR < 0 && a.After.SNR > -0.5) || levelOf(a, ShadowsThin) != Caution {
		t.Errorf("SNR %v, findings %+v", a.After.SNR, a.Findings)
	}
}

// TestWorst: alarm before caution before note, in any order; only an alarm needs a person.
func TestWorst(t *testing.T) {
	for levels, want := range map[string]Level{
		"": "", "note": Note, "caution note": Caution, "note alarm caution": Alarm, "other note": Note,
	} {
		var a Advice
		for _, l := range strings.Fields(levels) {
			a.Findings = append(a.Findings, Finding{Level: Level(l)})
		}
		if got := a.Worst(); got != want || a.NeedsPerson() != (want == Alarm) {
			t.Errorf("%q: worst %q, want %q; needs a person: %v", levels, got, want, a.NeedsPerson())
		}
	}
}
