package advise

import (
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// Decimals returns with how many decimals stops of a placement are printed, 1 or 2: as its reading is
// known, which is what tells takes apart, or else from its 95 % interval.
func Decimals(p *placement.Placement) int {
	switch {
	case p == nil:
		return 1
	case p.Reading > 0:
		return curve.StopsDecimals(-p.Reading, p.Reading)
	}
	return curve.StopsDecimals(p.Low, p.High)
}

// A Change is the exposure change advised as it is printed, in every form in which text and pages
// name it.
type Change struct {
	Action   Action      // pull, lift, hold or none
	Stops    curve.Stops // rounded to Decimals; positive, 0 for a hold and for none
	Decimals int         // with which stops are printed
}

// Change returns what the advice comes to once its stops are rounded as the placement's are: a pull
// or lift of 0.0 is a hold, one by no number none. Advise gives no correction that small, so that the
// action is the same in JSON.
func (a Advice) Change(p *placement.Placement) Change {
	c := Change{None, 0, Decimals(p)}
	stops := curve.Round(a.Stops, c.Decimals)
	changes := a.Action == Pull || a.Action == Lift
	switch {
	case changes && curve.Finite(stops) && stops > 0:
		c.Action, c.Stops = a.Action, stops
	case a.Action == Hold || changes && stops == 0:
		c.Action = Hold
	}
	return c
}

// String names the change: "pull 1.65 stops", "hold", "no advice".
func (c Change) String() string {
	switch c.Action {
	case Hold:
		return string(Hold)
	case None:
		return "no advice"
	}
	return string(c.Action) + " " + c.Stops.Plain(c.Decimals)
}

// After names the state after the change: "after a pull of 1.65 stops", "as recorded".
func (c Change) After() string {
	if c.Action == Hold || c.Action == None {
		return asRecorded
	}
	return "after a " + string(c.Action) + " of " + c.Stops.Plain(c.Decimals)
}

// Do names the change advised.
func (a Advice) Do(p *placement.Placement) string { return a.Change(p).String() }
