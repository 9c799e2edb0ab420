package analyze

import (
	"context"
	"math"
	"sync"

	"stopledger/analyze/cells"
	"stopledger/decode"
)

// walk goes over the frames to be measured, each once, and sums up. A clip that holds still between the
// frames that were scouted is measured in part, as far as intervals are to be narrow.
func (m *measurement) walk(ctx context.Context) (*Result, error) {
	p := scheduleOf(m.groups, m.info.Frames, m.set.EveryFrame, m.info.LongGOP)
	if middle := m.middle(p); m.set.Pictures && middle >= 0 {
		m.shots = &Shots{middle: middle, group: -1}
	}
	w := m.newWalk(p)
	defer w.Drop()
	if p.parts != nil && m.lost == 0 && m.change == nil && calm(m.pairs) {
		return w.inParts(ctx, p)
	}
	m.shots.want(m.middle(p))
	walk := func() error { return w.every(ctx, p.ReadOptions) }
	if p.Spans != nil {
		walk = func() error { return w.read(ctx, p.ReadOptions, nil) }
	}
	if err := walk(); err != nil {
		return nil, err
	}
	return w.sumUp()
}

// middle returns the number of the group in the middle of a schedule, -1 where it is not known.
func (m *measurement) middle(p schedule) int {
	switch {
	case p.Spans != nil:
		return len(p.Spans) / 2
	case m.info.Frames > 0:
		return upward(m.info.Frames, p.Chunk) / 2
	}
	return -1
}

// A walk is a measurement as its frames come by. Every group of frames has instruments of its own, which
// are merged at its end.
type walk struct {
	*measurement
	*cells.Walker
	all, group []instrument
	wanted     int // frames of the schedule
}

func (m *measurement) newWalk(p schedule) *walk {
	w := &walk{measurement: m, all: m.instruments(p), wanted: m.info.Frames}
	if p.Spans != nil {
		w.wanted = wanted(p.Spans)
	}
	w.Walker = cells.NewWalker(cells.Walk{Reading: m.how.Reading, Matrix: m.how.Matrix, Workers: m.set.Threads,
		Mask: m.overlays.Mask, Told: m.getOn,
		Thresholds: cells.NewThresholds(m.ceilings.From, m.how.Reading.Chroma(m.how.Matrix))}, func(f *cells.Frame) {
		if f.Start {
			w.group = m.instruments(p)
		}
		m.search.CollectFaces(f)
		m.shots.collect(f, m.how.Reading)
		collect(w.group, f)
		if f.End {
			merge(w.all, w.group)
		}
	})
	return w
}

// every walks all frames, those that were kept in between.
func (w *walk) every(ctx context.Context, opt decode.ReadOptions) error {
	add := func(f *decode.Frame) {
		f.Group = f.Index / opt.Chunk
		w.add(f)
	}
	opt.Have = w.held.numbers()
	err := w.measurement.read(ctx, opt, func(f *decode.Frame) error {
		w.held.takeBefore(f.Index, add)
		add(f)
		return nil
	})
	if err != nil {
		return err
	}
	end := math.MaxInt
	if w.change != nil {
		end = w.change.Frames
	}
	w.held.takeBefore(end, add)
	w.Finish()
	return nil
}

// read walks frames, whose groups have these numbers in the schedule; nil where they are all of its. Frames
// that were kept of a group go before the others of it.
func (w *walk) read(ctx context.Context, opt decode.ReadOptions, numbers []int) error {
	number := func(i int) int {
		if numbers == nil {
			return i
		}
		return numbers[i]
	}
	spans := opt.Spans
	opt.Spans = nil
	for i, s := range spans {
		opt.Spans = append(opt.Spans, w.held.rest(number(i), s))
	}
	err := w.measurement.read(ctx, opt, func(f *decode.Frame) error {
		f.Group = number(f.Group)
		w.held.take(f.Group, w.add)
		w.add(f)
		return nil
	})
	if err != nil {
		return err
	}
	for i := range spans {
		w.held.take(number(i), w.add) // nothing more came of the group
	}
	w.Finish()
	return nil
}

// add walks one frame more.
func (w *walk) add(f *decode.Frame) {
	w.walked++
	w.Add(f)
	if w.wanted > 0 {
		w.report(scoutShare + walkShare*min(float64(w.walked)/float64(w.wanted), 1))
	}
}

// inParts walks part after part of a schedule's groups until that is enough.
func (w *walk) inParts(ctx context.Context, p schedule) (*Result, error) {
	var before *Result
	for _, part := range p.parts {
		opt := p.ReadOptions
		opt.Spans = nil
		for _, group := range part {
			opt.Spans = append(opt.Spans, p.Spans[group])
		}
		w.shots.want(part...)
		if err := w.read(ctx, opt, part); err != nil {
			return nil, err
		}
		r, err := w.sumUp()
		if err != nil || r.Groups == len(p.Spans) || w.lost > 0 {
			return r, err
		}
		if enough(r, before) {
			between(&r.Clipping, w.pairs)
			return r, nil
		}
		before = r
	}
	return w.sumUp()
}

// sumUp returns the result of the groups that were walked.
func (w *walk) sumUp() (*Result, error) {
	if w.walked == 0 {
		return nil, &decode.ClipError{Path: w.info.Path,
			What: "not one frame could be measured", Do: "check that the clip plays"}
	}
	return w.result(w.all), nil
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
