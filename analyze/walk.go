package analyze

import (
	"context"
	"sync"

	"stopledger/analyze/cells"
	"stopledger/decode"
)

// walk goes over the frames to be measured, each once. Every group of frames has instruments of
// its own, which are merged at its end.
func (m *measurement) walk(ctx context.Context) ([]instrument, error) {
	p := scheduleOf(m.info.Frames, m.set.EveryFrame)
	all := m.instruments(p)
	groups := 0
	var group []instrument
	w := cells.NewWalker(cells.Walk{Reading: m.how.Reading, Matrix: m.how.Matrix, Workers: m.set.Threads,
		Mask: m.overlays.Mask, Told: m.getOn,
		Thresholds: cells.NewThresholds(m.ceilings.From, m.how.Reading.Chroma(m.how.Matrix))}, func(f *cells.Frame) {
		if f.Start {
			group = m.instruments(p)
			groups++
		}
		m.search.CollectFaces(f)
		collect(group, f)
		if f.End {
			merge(all, group)
		}
	})
	defer w.Drop()
	err := m.read(ctx, p.ReadOptions, func(f *decode.Frame) error {
		w.Add(f)
		m.tell(f)
		return nil
	})
	if err != nil {
		return nil, err
	}
	w.Finish()
	m.report(scoutShare + walkShare)
	if groups == 0 {
		return nil, &decode.ClipError{Path: m.info.Path,
			What: "not one frame could be measured", Do: "check that the clip plays"}
	}
	return all, nil
}

// tell tells how far the walk is.
func (m *measurement) tell(f *decode.Frame) {
	if m.info.Frames > 0 {
		m.report(scoutShare + walkShare*min(float64(f.Index+1)/float64(m.info.Frames), 1))
	}
}

// collect gives a frame to all instruments at once. A panic of one is passed on to the caller,
// where it costs one clip and not the program.
func collect(group []instrument, f *cells.Frame) {
	var wait sync.WaitGroup
	broken := make([]any, len(group))
	for i, one := range group {
		wait.Go(func() {
			defer func() { broken[i] = recover() }()
			one.collect(f)
		})
	}
	wait.Wait()
	for _, reason := range broken {
		if reason != nil {
			panic(reason)
		}
	}
}

func merge(all, group []instrument) {
	for i := range all {
		all[i].merge(group[i])
	}
}
