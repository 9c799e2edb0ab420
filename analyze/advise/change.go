package advise

import (
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// Decimals returns with how many decimals stops of a placement are printed, 1 or 2, from its 95 %
// interval.
func Decimals(p *placement.Placement) int {
	if p == nil {
		return 1
	}
	return curve.StopsDecimals(p.Low, p.High)
}

// A Change is the exposure change advised as it is printed, in every form in which text and pages
// name it.
type Change struct {
	Action   Action      // pull, lift or hold
	Stops    curve.Stops // rounded to Decimals; positive, 0 for a hold
	Decimals int         // with which stops are printed
}

// Change returns what the advice comes to once its stops are rounded as the placement's are: a pull
// or lift of 0.0, or by no number, is a hold. Advise gives no correction that small, so that the
// action is the same in JSON.
func (a Advice) Change(p *placement.Placement) Change {
	c := Change{Hold, 0, Decimals(p)}
	stops := curve.Round(a.Stops, c.Decimals)
	if curve.Finite(stops) && stops > 0 && (a.Action == Pull || a.Action == Lift) {
		c.Action, c.Stops = a.Action, stops
	}
	return c
}

// String names the change: "pull 1.65 stops", "hold".
func (c Change) String() string {
	if c.Action == Hold {
		return string(Hold)
	}
	return string(c.Action) + " " + c.Stops.Plain(c.Decimals)
}

// After names the state after the change: "after a pull of 1.65 stops", "as recorded".
func (c Change) After() string {
	if c.Action == Hold {
		return asRecorded
	}
	return "after a " + string(c.Action) + " of " + c.Stops.Plain(c.Decimals)
}

// Do names the change where there is ground for advice, curve.Absent where grey is weak or unknown
// and nothing is to be done.
func (a Advice) Do(p *placement.Placement) string {
	c := a.Change(p)
	if c.Action == Hold && (p == nil || p.Weak) {
		return curve.Absent
	}
	return c.String()
}
