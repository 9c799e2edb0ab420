package analyze

import (
	"context"

	"stopledger/analyze/cells"
	"stopledger/analyze/clipping"
	"stopledger/analyze/placement"
	"stopledger/decode"
)

// scout looks at a few pairs of frames for the ceilings, and at the first of each pair for grey:
// what has to be known before frames are walked.
func (m *measurement) scout(ctx context.Context) error {
	r, matrix := m.how.Reading, m.how.Matrix
	m.search = placement.NewSearch(r, matrix, m.set.GreyFrom, m.info.RotationDeg)
	finder := clipping.NewFinder(r, matrix, clipping.Coding{Lossy: lossy(m.info), LongGOP: m.info.LongGOP})
	var before *decode.Frame
	defer func() { release(before) }()
	opt := decode.ReadOptions{Spans: scouted(m.info.Frames, m.set.EveryFrame)}
	err := m.read(ctx, opt, func(f *decode.Frame) error {
		v := &cells.Frame{Frame: f, Start: true}
		if before != nil && before.Group == f.Group {
			v.Start, v.Before = false, before
		}
		m.search.Collect(v)
		finder.Collect(v)
		release(before)
		f.Keep()
		before = f
		return nil
	})
	if err != nil {
		return err
	}
	if finder.Empty() && before != nil {
		// One frame does not tell noise: only the sharpness of a histogram peak decides.
		finder.Collect(&cells.Frame{Frame: before, Before: before})
	}
	m.ceilings = finder.Result()
	return nil
}

func release(f *decode.Frame) {
	if f != nil {
		f.Release()
	}
}
