package advise

import (
	"math"

	"stopledger/curve"
)

// An Estimate is a number in its figure's unit with its 95 % interval, whose ends are unknown
// where no interval is.
type Estimate struct {
	Value curve.Amount `json:"value"` // best estimate
	Low   curve.Amount `json:"low"`   // lower end of the interval
	High  curve.Amount `json:"high"`  // upper end
}

// A Difference is an Estimate of a difference. Told is false where its interval holds zero: the
// takes cannot be told apart by it, and no direction is to be read from its value.
type Difference struct {
	Estimate
	Told bool `json:"told"` // the interval does not hold zero
}

// Bounded tells whether the estimate has an interval.
func (e Estimate) Bounded() bool { return curve.Finite(e.Low) && curve.Finite(e.High) }

// exactly is an estimate whose interval is not known; nil where there is no number.
func exactly[T ~float64](v T) *Estimate {
	unknown := curve.Unknown[curve.Amount]()
	if !curve.Finite(v) {
		return nil
	}
	return &Estimate{curve.Amount(v), unknown, unknown}
}

// interval is an estimate with its interval, or without one where that makes no sense.
func interval[T ~float64](v, low, high T) *Estimate {
	e := exactly(v)
	if e != nil && curve.Finite(low) && curve.Finite(high) && low <= v && v <= high {
		e.Low, e.High = curve.Amount(low), curve.Amount(high)
	}
	return e
}

// less is a less b. The two are independent, so the half intervals add in squares, each end of the
// one with the opposite end of the other. Without both intervals there is none.
func (e Estimate) less(b Estimate) Estimate {
	d := e.Value - b.Value
	return Estimate{d, d - squares(e.Value-e.Low, b.High-b.Value), d + squares(e.High-e.Value, b.Value-b.Low)}
}

// widened returns an estimate with the interval that another cause gives it besides: independent
// half intervals add in squares. Where either is not known, neither is their sum.
func (e Estimate) widened(by Estimate) *Estimate {
	return &Estimate{e.Value,
		e.Value - squares(e.Value-e.Low, by.Value-by.Low), e.Value + squares(e.High-e.Value, by.High-by.Value)}
}

// squares is the root of the sum of two squares, NaN where either is.
func squares(a, b curve.Amount) curve.Amount { return curve.Amount(math.Hypot(float64(a), float64(b))) }

// difference is a less b, nil without both or without both intervals.
func difference(a, b *Estimate) *Difference {
	if a == nil || b == nil {
		return nil
	}
	d := Difference{Estimate: a.less(*b)}
	if !d.Bounded() {
		return nil
	}
	d.Told = d.Low > 0 || d.High < 0
	return &d
}
