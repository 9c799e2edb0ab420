package advise

import (
	"testing"

	"stopledger/analyze/placement"
	"stopledger/curve"
)

func cardWithin(half curve.Stops) *placement.Placement {
	return &placement.Placement{Stops: 1, Low: 1 - half, High: 1 + half, Method: placement.Card}
}

// TestChange: stops are rounded as the placement's are; what rounds to nothing is a hold in every
// form, and what is no number or no pull or lift is no advice.
func TestChange(t *testing.T) {
	weak := cardWithin(0.02)
	weak.Weak = true
	for _, tc := range []struct {
		name      string
		action    Action
		stops     curve.Stops
		p         *placement.Placement
		in, after string
		do        string
	}{
		{"pull", Pull, 1.647, cardWithin(0.02), "pull 1.65 stops", "after a pull of 1.65 stops", "pull 1.65 stops"},
		{"lift", Lift, 1.647, cardWithin(0.02), "lift 1.65 stops", "after a lift of 1.65 stops", "lift 1.65 stops"},
		{"wide interval", Pull, 1.647, cardWithin(0.2), "pull 1.6 stops", "after a pull of 1.6 stops", "pull 1.6 stops"},
		{"hold", Hold, 0, cardWithin(0.02), "hold", "as recorded", "hold"},
		{"rounds to nothing", Pull, 0.04, cardWithin(0.2), "hold", "as recorded", "hold"},
		{"no number", Lift, curve.Unknown[curve.Stops](), cardWithin(0.02), "no advice", "as recorded", "no advice"},
		{"negative", Pull, -1, cardWithin(0.02), "no advice", "as recorded", "no advice"},
		{"none", None, 0, cardWithin(0.02), "no advice", "as recorded", "no advice"},
		{"unknown action", "turn", 1, cardWithin(0.02), "no advice", "as recorded", "no advice"},
		{"weak", None, 0, weak, "no advice", "as recorded", "no advice"},
		{"weak, asked to be the ground", Pull, 1, weak, "pull 1.00 stops", "after a pull of 1.00 stops", "pull 1.00 stops"},
		{"no grey", None, 0, nil, "no advice", "as recorded", "no advice"},
	} {
		a := Advice{Action: tc.action, Stops: tc.stops}
		c := a.Change(tc.p)
		if c.String() != tc.in || c.After() != tc.after || a.Do(tc.p) != tc.do {
			t.Errorf("%s: %q, %q, %q; want %q, %q, %q", tc.name, c, c.After(), a.Do(tc.p), tc.in, tc.after, tc.do)
		}
	}
}

// TestCorrection: a pull darkens.
func TestCorrection(t *testing.T) {
	for action, want := range map[Action]curve.Stops{Pull: -1.5, Lift: 1.5} {
		if got := (Advice{Action: action, Stops: 1.5}).Correction(); got != want {
			t.Errorf("%s: %v, want %v", action, got, want)
		}
	}
}

// TestGreyInWords: the cell of a table, and what it rests on.
func TestGreyInWords(t *testing.T) {
	if Grey(nil) != curve.Absent || Grey(cardWithin(0.02)) != "+1.00 stops" || Grey(cardWithin(0.2)) != "+1.0 stops" {
		t.Errorf("%q, %q, %q", Grey(nil), Grey(cardWithin(0.02)), Grey(cardWithin(0.2)))
	}
	for method, want := range map[placement.Method]string{
		placement.Region: "from the region", placement.Card: "from the card", placement.Chart: "from the chart",
		placement.Face: "judged by a face", placement.Scene: "scene average", "lamp": "lamp",
	} {
		if got := Source(&placement.Placement{Method: method}); got != want {
			t.Errorf("%s: %q, want %q", method, got, want)
		}
		if got := Source(&placement.Placement{Method: method, Carried: "a.mov"}); got != "carried" {
			t.Errorf("%s, carried: %q", method, got)
		}
	}
}

// TestLost sums areas by kind.
func TestLost(t *testing.T) {
	if fields, lamps := Lost(nil); fields != 0 || lamps != 0 {
		t.Errorf("%v, %v of nothing", fields, lamps)
	}
	w := unknownClip()
	w.clip(field(0.25, 0), points(0.125), field(0.5, 1), points(0.0625))
	if fields, lamps := Lost(w.Clipping.Areas); fields != 0.75 || lamps != 0.1875 {
		t.Errorf("fields %v, points %v", fields, lamps)
	}
}
