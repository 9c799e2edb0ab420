package analyze

import (
	"stopledger/analyze/clipping"
	"stopledger/analyze/levels"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/analyze/variation"
	"stopledger/decode"
)

// instruments returns the instruments for the frames of a schedule, empty. Each puts its result in
// place after those above it.
func (m *measurement) instruments(p schedule) []instrument {
	r, rate := m.how.Reading, m.info.FrameRate()
	recording := noise.Recording{Table: m.table, Matrix: m.how.Matrix,
		LossyCodec: lossy(m.info), LongGOP: m.info.LongGOP,
		Codec: m.info.Codec, Profile: m.info.Profile, BitsPerPixel: bitsPerPixel(m.info),
		Ceiling: m.ceilings.Code, Clipped: m.ceilings.From, LookEvery: p.closerEach}
	luma := levels.New(m.table)
	luma.Middle = m.middle(p)
	return []instrument{
		put(luma, func(a *levels.Accumulator, out *Result) { out.Levels = a.Result() }),
		put(clipping.New(r, m.ceilings), func(a *clipping.Accumulator, out *Result) { out.Clipping = a.Result(rate) }),
		put(noise.New(recording), func(a *noise.Accumulator, out *Result) { out.Noise = a.Result() }),
		put(placement.New(m.table, m.set.GreyFrom), func(a *placement.Accumulator, out *Result) {
			out.Placement, out.Patches = a.Result(out.Levels.Groups, m.search)
		}),
		put(variation.New(m.table), func(a *variation.Accumulator, out *Result) {
			out.Variation = a.Result(m.exposures(out), rate)
		}),
	}
}

// bitsPerPixel returns a clip's rate, 0 where its length is not known.
func bitsPerPixel(i decode.Info) float64 {
	if i.Frames <= 0 || i.Width*i.Height == 0 {
		return 0
	}
	return 8 * float64(i.Bytes) / float64(i.Frames) / float64(i.Width*i.Height)
}
