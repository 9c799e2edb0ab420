package report

import (
	"stopledger/analyze/advise"
	"stopledger/curve"
)

// Decimals returns how many decimals the clip's placement, and a correction from it, are printed
// with.
func (c *Clip) Decimals() int {
	if c.Placement == nil {
		return 1
	}
	return curve.StopsDecimals(c.Placement.Low, c.Placement.High)
}

// Correction returns what the advice comes to once its stops are rounded as they are printed: a
// pull or lift of 0.0 is a hold.
func (c *Clip) Correction() (action advise.Action, stops curve.Stops, decimals int) {
	decimals = c.Decimals()
	stops = curve.Round(c.Advice.Stops, decimals)
	if !curve.Finite(stops) || stops <= 0 || (c.Advice.Action != advise.Pull && c.Advice.Action != advise.Lift) {
		return advise.Hold, 0, decimals
	}
	return c.Advice.Action, stops, decimals
}

// Change returns the advised exposure change, signed and not rounded: negative for a pull, 0 for
// a hold.
func (c *Clip) Change() curve.Stops {
	switch action, _, _ := c.Correction(); action {
	case advise.Pull:
		return -c.Advice.Stops
	case advise.Lift:
		return c.Advice.Stops
	}
	return 0
}

// Worst returns the highest level among the clip's findings, "" for none.
func (c *Clip) Worst() advise.Level {
	var worst advise.Level
	for _, f := range c.Advice.Findings {
		if Rank(f.Level) > Rank(worst) {
			worst = f.Level
		}
	}
	return worst
}

// NeedsPerson reports whether somebody has to look at the clip: it has a finding at level alarm.
func (c *Clip) NeedsPerson() bool { return c.Worst() == advise.Alarm }

// Rank orders levels of findings: 0 for none, 3 for an alarm.
func Rank(l advise.Level) int {
	switch l {
	case advise.Note:
		return 1
	case advise.Caution:
		return 2
	case advise.Alarm:
		return 3
	}
	return 0
}
