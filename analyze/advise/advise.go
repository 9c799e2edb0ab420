package advise

import (
	"stopledger/analyze/display"
	"stopledger/analyze/limit"
	"stopledger/curve"
)

// Advise says what to do about a clip.
func Advise(f Facts) Advice {
	a := Advice{Action: Hold, Findings: []Finding{}}
	if p := f.usable(); p != nil {
		switch over := p.Stops - f.Target; {
		case over >= limit.HoldWithin:
			a.Action, a.Stops = Pull, over
		case over <= -limit.HoldWithin:
			a.Action, a.Stops = Lift, -over
		}
		a.Graded = gradeAll(f.Noise, p.Stops, a.Correction(), f.Lifts)
	}
	a.After = after(f, a.Correction())
	for _, found := range [][]Finding{
		greyFindings(f), clippedFindings(f, a), noiseFindings(f, a), variationFindings(f.Variation),
		f.Doubts, readingFindings(f), visibleFindings(a.Graded),
	} {
		a.Findings = append(a.Findings, found...)
	}
	a.Next = nextTake(f)
	a.Summary = summary(f, a)
	return a
}

// after returns the state after an exposure change of correction stops.
func after(f Facts, correction curve.Stops) After {
	unknown := curve.Unknown[curve.Decibels]()
	r := After{SNR: unknown, Nominal: unknown, Gain: unknown}
	if p := f.usable(); p != nil {
		r.SNR, r.Nominal = f.Noise.SNR(p.Stops+limit.Shadow).Value, f.Noise.SNR(limit.Shadow).Value
		r.Gain = r.SNR - r.Nominal
	}
	ceiling := f.Reading.Light(f.Reading.FileCode(f.Clipping.Ceiling.Code))
	r.Ceiling = display.Render(curve.Light(float64(ceiling) * correction.Gain())).Signal()
	return r
}
