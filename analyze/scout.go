package analyze

import (
	"cmp"
	"context"
	"errors"

	"stopledger/analyze/cells"
	"stopledger/analyze/clipping"
	"stopledger/analyze/internal/aside"
	"stopledger/analyze/overlay"
	"stopledger/analyze/placement"
	"stopledger/decode"
)

// A recounter is a clip that can count the frames it really holds, and plan by that count.
type recounter interface {
	Recount(ctx context.Context) error
}

// prepare scouts the clip. Where fewer than half of the frames looked for came, or the picture
// changes, the container's own count does not hold: the clip is counted, and scouted again.
func (m *measurement) prepare(ctx context.Context) error {
	err := m.scout(ctx)
	clip, can := m.clip.(recounter)
	if !can || ctx.Err() != nil || m.change == nil && 2*m.seen >= wanted(m.scouted()) {
		return err
	}
	if broken := m.recount(ctx, clip); broken != nil || m.info.Frames == 0 {
		return cmp.Or(err, broken)
	}
	return m.scout(ctx)
}

// recount takes over how many frames the clip really holds.
func (m *measurement) recount(ctx context.Context, clip recounter) error {
	err := clip.Recount(ctx)
	var damage *decode.Damage
	var change *decode.FormatChange
	switch {
	case errors.As(err, &change):
		m.change, m.lost = change, 0
	case errors.As(err, &damage):
		m.lost = damage.Lost
	case err != nil:
		return err
	}
	m.info = m.clip.Info()
	return nil
}

// scouted returns the frames to scout.
func (m *measurement) scouted() []decode.Span { return scouted(m.info.Frames) }

func wanted(spans []decode.Span) (frames int) {
	for _, s := range spans {
		frames += s.Count
	}
	return frames
}

// holds returns what is kept of a clip scouted in so many groups: those that are walked first.
func (m *measurement) holds(groups int) held {
	h := held{groups: map[int][]*decode.Frame{}}
	if m.set.EveryFrame || m.info.Frames < framesPerGroup {
		return h
	}
	h.wanted = inTurn[0]
	if groups < groupsMeasured {
		h.wanted = []int{0, 1, 2, 3}
	}
	return h
}

// scout looks at a few pairs of frames for the ceilings, and at the first of each pair for grey:
// what has to be known before frames are walked.
func (m *measurement) scout(ctx context.Context) error {
	r, matrix := m.how.Reading, m.how.Matrix
	m.search = placement.NewSearch(r, matrix, m.set.GreyFrom, m.info.RotationDeg)
	m.search.Told = m.getOn
	finder := clipping.NewFinder(r, matrix,
		clipping.Coding{Lossy: lossy(m.info), Even: m.info.Codec == "prores", LongGOP: m.info.LongGOP})
	finder.Told = m.getOn
	var searching, finding aside.Task // beside the decoding of frames that are to come
	var before *decode.Frame
	defer func() {
		searching.End()
		finding.End()
		release(before)
	}()
	m.seen = 0
	spans := m.scouted()
	m.held.drop()
	m.held = m.holds(len(spans))
	err := m.read(ctx, decode.ReadOptions{Spans: spans}, func(f *decode.Frame) error {
		m.seen++
		v := &cells.Frame{Frame: f, Start: true}
		work, task := m.search.Collect, &searching
		if before != nil && before.Group == f.Group {
			v.Start, v.Before = false, before
			work, task = finder.Collect, &finding
		}
		beside(task, work, v)
		release(before)
		m.held.keep(f)
		f.Keep()
		before = f
		m.report(0)
		return nil
	})
	searching.Wait()
	finding.Wait()
	if err != nil {
		return err
	}
	m.search.Settle()
	if m.lost > 0 {
		m.held.drop() // what can be read is read again as it lies
	}
	if m.seen == m.info.Frames {
		m.lost = 0 // two frames were asked for, and there is one
	}
	if finder.Empty() && before != nil {
		// One frame does not tell noise: only the sharpness of a histogram peak decides.
		finder.Collect(&cells.Frame{Frame: before, Before: before})
	}
	m.overlays = overlay.Find(finder.Surveys(), finder.Whites(), r)
	m.report(0)
	m.ceilings = finder.Result(m.overlays.Mask)
	m.pairs = finder.Glances(m.ceilings)
	m.report(scoutShare)
	return nil
}

// beside has a frame worked on while others are decoded. Of large frames, whose memory counts, it waits for that.
func beside(task *aside.Task, work func(*cells.Frame), v *cells.Frame) {
	v.Frame.Keep()
	if v.Before != nil {
		v.Before.Keep()
	}
	task.Run(func() {
		defer v.Frame.Release()
		defer release(v.Before)
		work(v)
	})
	if p := v.Planes[0]; p.Width*p.Height > decode.LargeFrame {
		task.Wait()
	}
}

func release(f *decode.Frame) {
	if f != nil {
		f.Release()
	}
}
