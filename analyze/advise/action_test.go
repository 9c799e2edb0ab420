package advise

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// TestActions: where grey lies off the target, and how well it is known, decide the action. Limits
// are 0.15 stops for the value, 0.3 for the whole interval, and zero for an interval's near end.
func TestActions(t *testing.T) {
	unknown := curve.Unknown[curve.Stops]()
	for _, tc := range []struct {
		name            string
		over, low, high curve.Stops // of the target
		want            Action
	}{
		{"at the target", 0, -0.05, 0.05, Hold},
		{"at the target, hardly known", 0, -1, 1, Hold},
		{"within 0.15", 0.149, 0.148, 0.15, Hold},
		{"within 0.15 under, hardly known", -0.149, -2, 2, Hold},
		{"within 0.15, interval unknown", 0.1, unknown, unknown, Hold},
		{"beyond 0.15, known within 0.3", 0.2, 0.101, 0.299, Hold},
		{"beyond 0.15, under, known within 0.3", -0.2, -0.299, -0.101, Hold},
		{"beyond 0.15, known to over 0.3", 0.2, 0.099, 0.301, Pull},
		{"beyond 0.15, under, known to over 0.3", -0.2, -0.301, -0.099, Lift},
		{"near end just off zero", 0.4, 0.001, 0.799, Pull},
		{"near end touches zero", 0.4, 0, 0.8, None},
		{"near end beyond zero", 0.4, -0.001, 0.801, None},
		{"under, near end just off zero", -0.4, -0.8, -0.001, Lift},
		{"under, near end touches zero", -0.4, -0.8, 0, None},
		{"far over", 4, 3.9, 4.1, Pull},
		{"far over, interval unknown", 4, unknown, unknown, None},
		{"interval without its value", 1, 2, 3, Pull},
		{"interval beyond its value", 1, -2, -1, None},
	} {
		for _, target := range []curve.Stops{0, 1, -2} {
			f := clearFacts(t)
			f.Target = target
			placed(target + tc.over)(&f)
			f.Placement.Low, f.Placement.High = target+tc.low, target+tc.high
			const rounding = 1e-9
			if tc.low == 0 || tc.high == 0 { // sums need not come out even
				f.Placement.Low, f.Placement.High = f.Placement.Low-rounding, f.Placement.High+rounding
			}
			a := Advise(f)
			checkTexts(t, a)
			checkOffset(t, tc.name, a)
			if a.Action != tc.want || a.Change(f.Placement).Action != tc.want {
				t.Errorf("%s, target %v: %s, printed %v, want %s", tc.name, target, a.Action, a.Change(f.Placement), tc.want)
			}
			if told := levelOf(a, GreyDoubt) == Caution; told != (tc.want == None) {
				t.Errorf("%s: findings %+v", tc.name, a.Findings)
			}
		}
	}
}

// checkOffset fails where an action, its stops and its interval contradict each other.
func checkOffset(t *testing.T, name string, a Advice) {
	t.Helper()
	unknown := !curve.Finite(a.Offset) && !curve.Finite(a.Low) && !curve.Finite(a.High)
	ok := false
	switch a.Action {
	case Pull:
		ok = a.Offset == -a.Stops && a.High < 0 && a.Low <= a.Offset && a.Offset <= a.High
	case Lift:
		ok = a.Offset == a.Stops && a.Low > 0 && a.Low <= a.Offset && a.Offset <= a.High
	case Hold:
		ok = a.Offset == 0 && a.Stops == 0
	case None:
		ok = unknown && a.Stops == 0
	}
	if !ok {
		t.Errorf("%s: %s by %v, offset %v within %v..%v", name, a.Action, a.Stops, a.Offset, a.Low, a.High)
	}
}

// card finds grey in a card, so many stops over nominal, with other candidates.
func card(stops curve.Stops, others ...placement.Candidate) func(*Facts) {
	return func(f *Facts) {
		placed(stops)(f)
		f.Placement.Method = placement.Card
		f.Placement.Candidates = append([]placement.Candidate{{Method: placement.Card, Stops: stops, Confidence: 0.8,
			Used: true}}, others...)
	}
}

// TestDoubtsLeaveNoGround: what puts the level of grey in doubt gives no action, and the verdict opens
// with it; what does not, gives the one it would have given.
func TestDoubtsLeaveNoGround(t *testing.T) {
	another := func(method placement.Method, stops curve.Stops, sure curve.Ratio) placement.Candidate {
		return placement.Candidate{Method: method, Stops: stops, Confidence: sure,
			Region: &geometry.Rect{X: 10, Y: 20, W: 30, H: 40}}
	}
	for _, tc := range []struct {
		name string
		set  func(*Facts)
		want Action
		open string // how the verdict begins
	}{
		{"nothing in doubt", card(1), Pull, "Grey card 1.0"},
		{"curve noted", func(f *Facts) { card(1)(f); f.Doubts = []Finding{{CurveDoubt, Note, "Curve."}} }, Pull, "Grey"},
		{"curve in doubt",
			func(f *Facts) { card(1)(f); f.Doubts = []Finding{{CurveDoubt, Caution, "Curve."}} }, None, "Curve."},
		{"range in doubt",
			func(f *Facts) { card(1)(f); f.Doubts = []Finding{{RangeDoubt, Caution, "Range."}} }, None, "Range."},
		{"tags in doubt", func(f *Facts) { card(1)(f); f.Doubts = []Finding{{TagDoubt, Caution, "Tags."}} }, Pull, "Grey"},
		{"at the target, curve in doubt",
			func(f *Facts) { card(0)(f); f.Doubts = []Finding{{CurveDoubt, Alarm, "Curve."}} }, None, "Curve."},
		{"two areas disagree", func(f *Facts) { placed(1)(f); f.Patches = 0.3 }, None, "The two regions"},
		{"cards agree", card(1, another(placement.Card, 1.29, 0.9)), Pull, "Grey"},
		{"cards disagree", card(1, another(placement.Card, 1.31, 0.5)), None,
			"Two pieces of evidence disagree on where grey is: the card says +1.00 stops, and another card at 10,20,30,40 " +
				"says +1.31 stops."},
		{"chart disagrees", card(1, another(placement.Chart, -1, 0.9)), None, "Two pieces of evidence"},
		{"a weak one disagrees", card(1, another(placement.Card, 3, 0.49)), Pull, "Grey"},
		{"a face disagrees", card(1, another(placement.Face, 3, 0.9)), Pull, "Grey"},
		{"the user points at grey", func(f *Facts) {
			card(1, another(placement.Card, 3, 0.9))(f)
			f.Placement.Method = placement.Region
		}, Pull, "Grey in the region"},
		{"a small step", func(f *Facts) { card(1)(f); f.Variation.Step, f.Variation.StepAt = 0.49, 1 }, Pull, "Grey"},
		{"an iris pull", func(f *Facts) { card(1)(f); f.Variation.Step, f.Variation.StepAt = -1.5, 1 }, None,
			"Exposure steps by -1.50 stops at 1.0 s (aperture, gain or light): no single pull or lift fits all of it."},
		{"a cloud", func(f *Facts) { card(1)(f); f.Variation.Drift = 0.5 }, None, "Exposure drifts by +0.50 stops"},
		{"grey moves", func(f *Facts) { card(1)(f); f.Placement.Drift = 0.7 }, None, "Grey moves by +0.7 stops"},
		{"may be clipped", func(f *Facts) { card(1)(f); f.Clipping.Undecided = true }, Pull, "Grey"},
	} {
		f := clearFacts(t)
		tc.set(&f)
		a := Advise(f)
		checkTexts(t, a)
		checkOffset(t, tc.name, a)
		if a.Action != tc.want || !strings.HasPrefix(a.Summary, tc.open) {
			t.Errorf("%s: %s, want %s: %s", tc.name, a.Action, tc.want, a.Summary)
		}
		if none := strings.Contains(a.Summary, "No pull or lift is advised until"); none != (tc.want == None) {
			t.Errorf("%s: %s", tc.name, a.Summary)
		}
	}
}

// TestActionOfAnything draws facts at random: no pull or lift has an interval that holds zero, rests
// on a doubt or on weak evidence; and where clipping is undecided, no next take opens up.
func TestActionOfAnything(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 1))
	actions := map[Action]int{}
	for range 20000 {
		f := clearFacts(t)
		anyFacts(random, &f)
		a := Advise(f)
		actions[a.Action]++
		checkOffset(t, "anything", a)
		acts := a.Action == Pull || a.Action == Lift
		if p := f.Placement; acts && (p.Weak || !(f.Target > p.High || f.Target < p.Low)) {
			t.Fatalf("%s on %+v, target %v", a.Action, p, f.Target)
		}
		if acts && unsettled(a.Findings, f) != nil {
			t.Fatalf("%s in spite of %+v", a.Action, a.Findings)
		}
		if f.Clipping.Undecided && (a.Next.Stops > 0 || strings.Contains(a.Summary, "Nothing clips") ||
			strings.Contains(a.Next.Text, "more would still hold") || levelOf(a, ClipDoubt) != Caution) {
			t.Fatalf("undecided, and %+v: %s", a.Next, a.Summary)
		}
		for _, n := range a.Next.For {
			if f.Clipping.Undecided && n.Clips != nil && !*n.Clips {
				t.Fatalf("undecided, and %v is said to hold", n)
			}
		}
	}
	for _, action := range []Action{Pull, Lift, Hold, None} {
		if actions[action] < 200 {
			t.Errorf("only %d times %s", actions[action], action)
		}
	}
}

// anyFacts draws facts about grey, clipping and noise.
func anyFacts(random *rand.Rand, f *Facts) {
	stops := func(most float64) curve.Stops {
		if random.IntN(20) == 0 {
			return curve.Unknown[curve.Stops]()
		}
		return curve.Stops((2*random.Float64() - 1) * most)
	}
	f.Target = curve.Stops(random.IntN(3) - 1)
	methods := []placement.Method{placement.Region, placement.Chart, placement.Card, placement.Face, placement.Scene}
	if random.IntN(10) > 0 {
		p := &placement.Placement{Stops: f.Target + stops(3), Method: methods[random.IntN(len(methods))],
			Weak: random.IntN(4) == 0, Drift: stops(0.6), Reflectance: 0.18}
		half := curve.Stops(math.Abs(float64(stops(1))))
		p.Low, p.High = p.Stops-half, p.Stops+half
		p.Candidates = []placement.Candidate{{Method: methods[random.IntN(len(methods))], Stops: p.Stops + stops(0.6),
			Confidence: curve.Ratio(random.Float64())}}
		f.Placement = p
	}
	if random.IntN(2) == 0 {
		f.Variation.Step, f.Variation.StepAt = stops(0.7), 1
	}
	f.Clipping.Undecided, f.Clipping.Headroom = random.IntN(3) == 0, stops(6)
	if random.IntN(2) == 0 {
		f.Clipping.Ceiling.Origin = clipping.CurveEnd
	}
	if random.IntN(4) == 0 {
		f.Clipping.Areas = []clipping.Area{field(0.02, 0)}
		f.Clipping.Clipped = evenly(0.02)
	}
	f.Noise.Model = &noise.Model{Read: curve.Light(random.Float64() / 100)}
}
