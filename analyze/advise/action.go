package advise

import (
	"math"

	"stopledger/analyze/limit"
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// decide sets what exposure change a clip earns. A hold is grey within 0.15 stops of the target, or
// an interval that lies within 0.3 as a whole; a pull or a lift is a correction whose 95 % interval
// does not hold zero. Whatever earns none of them, or rests on something in doubt, is none.
func (a *Advice) decide(f Facts, doubted bool) {
	unknown := curve.Unknown[curve.Stops]()
	a.Action, a.Stops, a.Offset, a.Low, a.High = None, 0, unknown, unknown, unknown
	p := f.usable()
	if p == nil || doubted {
		return
	}
	change, low, high := offTarget(f, p)
	switch {
	case earnsHold(change, low, high):
		a.Action, a.Offset = Hold, 0
	case high < 0:
		a.Action, a.Stops, a.Offset = Pull, -change, change
	case low > 0:
		a.Action, a.Stops, a.Offset = Lift, change, change
	default:
		return
	}
	a.Low, a.High = low, high
}

// offTarget returns the target less a placement, with its 95 % interval, which holds it.
func offTarget(f Facts, p *placement.Placement) (change, low, high curve.Stops) {
	change = f.Target - p.Stops
	return change, min(f.Target-p.High, change), max(f.Target-p.Low, change)
}

// earnsHold tells whether a correction, with its interval, is not worth making.
func earnsHold(change, low, high curve.Stops) bool {
	return math.Abs(float64(change)) <= float64(limit.HoldWithin) ||
		low >= -limit.HoldInterval && high <= limit.HoldInterval
}
