package advise

import (
	"slices"

	"stopledger/analyze/limit"
	"stopledger/analyze/noise"
	"stopledger/curve"
)

// Advise says what to do about a clip.
func Advise(f Facts) Advice {
	a := Advice{Findings: []Finding{}, Target: &f.Target, Intended: f.Intended, Rules: f.Rules.Names()}
	doubts, open := greyDoubts(f), openDoubts(f)
	moved, read := variationFindings(f.Variation), readingFindings(f)
	doubted := unsettled(slices.Concat(doubts, moved, f.Doubts, read), f) != nil
	a.decide(f, doubted || len(open) > 0)
	if p := f.usable(); p != nil {
		a.Graded = gradeAll(f, p.Stops, a.Correction())
	}
	a.After = after(f, a.Correction())
	grey := greyFindings(f, a, doubted)
	under := slices.ContainsFunc(grey, func(g Finding) bool { return g.ID == GreyUnder })
	for _, found := range [][]Finding{grey, doubts, open, clippedFindings(f, a), noiseFindings(f, a, under), moved,
		f.Doubts, read, displayFindings(f), visibleFindings(a.Graded), ruleFindings(f, doubted)} {
		a.Findings = append(a.Findings, found...)
	}
	a.Next = nextTake(f, a)
	a.Summary = summary(f, a)
	relevel(a.Findings, f.Rules)
	return a
}

// after returns the state after an exposure change of correction stops.
func after(f Facts, correction curve.Stops) After {
	unknown := curve.Unknown[curve.Decibels]()
	r := After{SNR: unknown, Low: unknown, High: unknown, Nominal: unknown, Gain: unknown}
	if p := f.usable(); p != nil {
		r.SNR, r.Nominal = f.Noise.SNR(p.Stops+limit.Shadow).Value, cameraSNR(f.Noise, limit.Shadow)
		r.Gain = cameraSNR(f.Noise, p.Stops+limit.Shadow) - r.Nominal
		if e := toneSNR(Measured{Placement: p, Noise: f.Noise}, limit.Shadow); e != nil {
			r.Low, r.High = curve.Decibels(e.Low), curve.Decibels(e.High)
		}
	}
	r.Ceiling, r.Display = f.Display.Signal(ceilingAfter(f, correction)), onDisplay(f, correction)
	return r
}

// cameraSNR is the camera's SNR before coding at recorded stops.
func cameraSNR(n *noise.Result, recorded curve.Stops) curve.Decibels {
	return n.CameraSNR(recorded).Value
}
