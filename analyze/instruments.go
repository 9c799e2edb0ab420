package analyze

import (
	"stopledger/analyze/clipping"
	"stopledger/analyze/levels"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/analyze/variation"
)

// instruments returns the instruments for the frames of a plan, empty. Each puts its result in
// place after those above it.
func (m *measurement) instruments(p plan) []instrument {
	r, rate := m.how.Reading, m.info.FrameRate()
	recording := noise.Recording{Table: m.table, Matrix: m.how.Matrix,
		LossyCodec: lossy(m.info), LongGOP: m.info.LongGOP,
		Ceiling: m.ceilings.Code, Clipped: m.ceilings.From, LookEvery: p.closerEach}
	return []instrument{
		put(levels.New(m.table), func(a *levels.Accumulator, out *Result) { out.Levels = a.Result() }),
		put(clipping.New(r, m.ceilings), func(a *clipping.Accumulator, out *Result) { out.Clipping = a.Result(rate) }),
		put(noise.New(recording), func(a *noise.Accumulator, out *Result) { out.Noise = a.Result() }),
		put(placement.New(m.table, m.set.GreyFrom), func(a *placement.Accumulator, out *Result) {
			out.Placement, out.Patches = a.Result(out.Levels.Groups, m.search)
		}),
		put(variation.New(m.table), func(a *variation.Accumulator, out *Result) {
			out.Variation = a.Result(exposures(out), rate)
		}),
	}
}
