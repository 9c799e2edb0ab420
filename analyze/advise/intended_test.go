package advise

import (
	"fmt"
	"strings"
	"testing"

	"stopledger/analyze/placement"
	"stopledger/analyze/rule"
	"stopledger/curve"
)

// meant judges a clip that lies stops over nominal, with half of its interval, by an offset exposed at
// on purpose.
func meant(t *testing.T, stops, half, intended curve.Stops, change ...func(*Facts)) Advice {
	t.Helper()
	f := clearFacts(t)
	placed(stops)(&f)
	f.Placement.Low, f.Placement.High = stops-half, stops+half
	f.Intended = &intended
	for _, c := range change {
		c(&f)
	}
	a := Advise(f)
	checkTexts(t, a)
	return a
}

// A clip is judged by its distance from where it was meant to lie, and the pull goes to the target.
func TestIntended(t *testing.T) {
	for _, c := range []struct {
		stops, half, intended curve.Stops
		id                    ID
		level                 Level
		says                  string
	}{
		{1.6, 0.05, 1.5, "", "", "Grey in the region (0.0 %) exposed 1.60 stops over, as intended (1.5)."},
		{1.21, 0.05, 1.5, "", "", "as intended (1.5)."},
		{1.19, 0.05, 1.5, GreyUnder, Caution, "0.3 stops under the intended 1.5."},
		{1.99, 0.05, 1.5, "", "", "as intended (1.5)."},
		{2.01, 0.05, 1.5, GreyOver, Note, "0.5 stops over the intended 1.5."},
		{4.01, 0.05, 1.5, GreyOver, Caution, "2.5 stops over the intended 1.5."},
		{-0.49, 0.05, 1.5, GreyUnder, Caution, "2.0 stops under the intended 1.5."},
		{-0.51, 0.05, 1.5, GreyUnder, Alarm, "2.0 stops under the intended 1.5."},
		{-2.5, 0.05, -2.5, "", "", "exposed 2.50 stops under, as intended (-2.5)."},
		{0, 0.05, 1.5, GreyUnder, Caution, "exposed at nominal, 1.5 stops under the intended 1.5."},
		{0.02, 0.5, 1.5, GreyUnder, Caution, "1.5 stops under the intended 1.5."},    // open on the target's side only
		{1.1, 0.5, 1.5, "", "", "0.4 stops under the intended 1.5, which is within"}, // open where it is meant to lie
	} {
		for _, target := range []curve.Stops{0, 0.4} {
			a := meant(t, c.stops, c.half, c.intended, func(f *Facts) { f.Target = target })
			if got := levelOf(a, GreyUnder) + levelOf(a, GreyOver); got != c.level ||
				c.id != "" && levelOf(a, c.id) != c.level {
				t.Errorf("%+v to %v: %+v", c, target, a.Findings)
			}
			if !strings.Contains(a.Summary, c.says) {
				t.Errorf("%+v: %s", c, a.Summary)
			}
			if a.Action != None && a.Action != Hold && a.Offset != target-c.stops {
				t.Errorf("%+v to %v: %s by %v", c, target, a.Action, a.Offset)
			}
		}
	}
}

// Without an offset named the verdict is as it was, and in doubt nothing is judged.
func TestNotIntended(t *testing.T) {
	f := clearFacts(t)
	placed(1.6)(&f)
	if a := Advise(f); strings.Contains(a.Summary, "inten") || a.Intended != nil || !strings.Contains(a.Summary,
		"Grey in the region 1.6") {
		t.Error(a.Summary)
	}
	doubted := func(f *Facts) { f.Doubts = []Finding{{CurveDoubt, Caution, "Another curve."}} }
	if a := meant(t, -3, 0.05, 1.5, doubted); levelOf(a, GreyUnder) != "" || a.Action != None {
		t.Errorf("%+v", a.Findings)
	}
	weak := func(f *Facts) { f.Placement.Weak, f.Placement.Method = true, placement.Scene }
	if a := meant(t, -3, 0.05, 1.5, weak); levelOf(a, GreyUnder) != "" || strings.Contains(a.Summary, "inten") {
		t.Errorf("%s %+v", a.Summary, a.Findings)
	}
}

// Shadows that only noise makes thin are an alarm where less light was given than intended.
func TestThinShadowsAsIntended(t *testing.T) {
	dead := func(f *Facts) { f.Noise.Model = readNoise(5, f.Placement.Stops) }
	for _, c := range []struct {
		stops curve.Stops
		level Level
	}{{1.5, Caution}, {1, Alarm}, {2, Caution}} {
		if a := meant(t, c.stops, 0.05, 1.5, dead); levelOf(a, ShadowsThin) != c.level {
			t.Errorf("%v: %+v", c.stops, a.Findings)
		}
	}
}

// The next take is brought to where it was meant to lie, as far as the highlights allow.
func TestNextAsIntended(t *testing.T) {
	room := func(headroom curve.Stops) func(*Facts) { return func(f *Facts) { f.Clipping.Headroom = headroom } }
	sky := clipped(evenly(0.02), field(0.02, 0))
	for _, c := range []struct {
		stops curve.Stops
		set   func(*Facts)
		next  curve.Stops
		says  string
	}{
		{0.5, room(4), 1, "Open up 1.0 stops to the intended 1.5."},
		{0.5, room(0.9), 0.6, "the highlights leave no more room"},
		{0.5, room(0.3), 0, "the highlights leave no room"},
		{2.5, room(4), -1, "Close down 1.0 stops to the intended 1.5."},
		{1.5, room(4), 0, "Keep this exposure"},
		{2.5, sky, -1, "grey sits above the intended 1.5"},
		{1.5, sky, 0, "grey at the intended 1.5"},
	} {
		a := meant(t, c.stops, 0.05, 1.5, c.set)
		near(t, c.says, a.Next.Stops+10, c.next+10, 1e-9)
		if !strings.Contains(a.Next.Text, c.says) {
			t.Errorf("%v: %s", c.stops, a.Next.Text)
		}
	}
}

// asked are rules of one section.
func asked(s rule.Section) func(*Facts) {
	s.Name = "show"
	return func(f *Facts) { f.Rules = rule.Asked{s} }
}

// Rules judge a clip beside what is found anyway, and say what counts as an alarm.
func TestRules(t *testing.T) {
	half, least, most := curve.Stops(0.5), rule.SNR{Scene: -4, Least: 20}, curve.Share(0.02)
	noisy := func(db float64) func(*Facts) {
		return func(f *Facts) { f.Noise.Model = readNoise(db, f.Placement.Stops) }
	}
	hidden := func(f *Facts) { f.Noise.Suppressed, f.Noise.Reason = true, "it is hidden" }
	doubted := func(f *Facts) { f.Doubts = []Finding{{CurveDoubt, Caution, "Another curve."}} }
	near := rule.Section{Tolerance: &half}
	for name, c := range map[string]struct {
		stops  curve.Stops
		set    []func(*Facts)
		id     ID
		level  Level
		says   string
		person bool
	}{
		"kept":               {1.9, []func(*Facts){asked(near)}, RulePlacement, "", "as intended", false},
		"a tolerance widens": {1.1, []func(*Facts){asked(near)}, GreyUnder, "", "as intended", false},
		"off": {2.2, []func(*Facts){asked(near)}, RulePlacement, Alarm,
			`Rule "show" is broken: grey lies at +2.20 stops (+2.15 to +2.25), and +1.50 is asked for, give or take 0.50.`,
			true},
		"on the edge": {2.03, []func(*Facts){asked(near)}, RuleUnsure, Note, "", false},
		"in doubt":    {2.2, []func(*Facts){asked(near), doubted}, RuleUnsure, Note, "", false},
		"strict": {2.03, []func(*Facts){asked(rule.Section{Tolerance: &half,
			Levels: map[string]Level{"rule-unsure": Alarm}})}, RuleUnsure, Alarm, "", true},
		"mild": {2.2, []func(*Facts){asked(rule.Section{Tolerance: &half,
			Levels: map[string]Level{"rule-placement": Caution}})}, RulePlacement, Caution, "is broken", false},
		"noisy": {1.5, []func(*Facts){noisy(14), asked(rule.Section{LeastSNR: &least})}, RuleSNR, Alarm,
			"signal-to-noise 4 stops under grey is 14.0 dB", true},
		"hidden": {1.5, []func(*Facts){hidden, asked(rule.Section{LeastSNR: &least})}, RuleUnsure, Note, "", false},
		"clipped": {1.5, []func(*Facts){clipped(evenly(0.2), field(0.2, 0)), asked(rule.Section{Clipped: &most})},
			RuleClipped, Alarm, "20.00 % of the frame is clipped", true},
		"clipped little": {1.5, []func(*Facts){clipped(evenly(0.01), field(0.01, 0)), asked(rule.Section{Clipped: &most})},
			RuleClipped, "", "", false},
		"nothing may clip": {1.5, []func(*Facts){asked(rule.Section{Clipped: new(curve.Share)})},
			RuleClipped, "", "", false},
		"may clip": {1.5, []func(*Facts){func(f *Facts) { f.Clipping.Undecided = true },
			asked(rule.Section{Clipped: &most})}, RuleUnsure, Note, "", false},
		"other curve": {1.5, []func(*Facts){asked(rule.Section{Curves: []string{"V-Log", "LogC3"}})}, RuleCurve, Alarm,
			"the clip was read as S-Log3, and V-Log or LogC3 is expected", true},
		"assumed": {1.5, []func(*Facts){func(f *Facts) { f.Assumed = true },
			asked(rule.Section{Curves: []string{"S-Log3"}})}, RuleUnsure, Note, "", false},
		"noise is an alarm here": {1.5, []func(*Facts){noisy(14),
			asked(rule.Section{Levels: map[string]Level{"shadows-thin": Alarm}})}, ShadowsThin, Alarm, "", true},
		"a doubt made small is one still": {2.2, []func(*Facts){doubted,
			asked(rule.Section{Levels: map[string]Level{"curve-doubt": Note}})}, CurveDoubt, Note, "Another curve.", false},
	} {
		a := meant(t, c.stops, 0.05, 1.5, c.set...)
		if levelOf(a, c.id) != c.level || a.NeedsPerson() != c.person || !strings.Contains(a.Summary, c.says) {
			t.Errorf("%s: %s %+v", name, a.Summary, a.Findings)
		}
		if name == "a doubt made small is one still" && a.Action != None {
			t.Errorf("%s: %s", name, a.Action)
		}
		if fmt.Sprint(a.Rules) != "[show]" {
			t.Errorf("%s: rules %q", name, a.Rules)
		}
	}
}

// Measured tones have intervals: a tone is too noisy where the whole of its interval is.
func TestRuleOfNoise(t *testing.T) {
	for db, want := range map[curve.Decibels]ID{16: RuleSNR, 19.5: RuleUnsure, 20.5: RuleUnsure, 24: ""} {
		f := clearFacts(t)
		placed(0)(&f)
		least := rule.SNR{Scene: -4, Least: 20}
		asked(rule.Section{LeastSNR: &least})(&f)
		low, high := toneAt(-4.5, db-0.5, 1), toneAt(-3.5, db+0.5, 1)
		f.Noise.Tones = append(f.Noise.Tones, low, high)
		a := Advise(f)
		for _, id := range []ID{RuleSNR, RuleUnsure} {
			if (levelOf(a, id) != "") != (id == want) {
				t.Errorf("%v dB: %s: %+v", db, id, a.Findings)
			}
		}
	}
}
