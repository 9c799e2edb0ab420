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
	if !can || ctx.Err() != nil || m.change == nil && 2*m.seen >= m.asked {
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

func wanted(spans []decode.Span) (frames int) {
	for _, s := range spans {
		frames += s.Count
	}
	return frames
}

// place chooses the groups of frames that sampling measures. They are scouted whether every frame is measured
// or not, so that both find the same.
func (m *measurement) place() {
	m.groups = groupsOf(m.info.Frames)
	if clip, can := m.clip.(keyed); can && m.info.LongGOP {
		atKeys(m.groups, m.info.Frames, clip)
	}
}

// An independent clip can leave out frames that are not needed, of those that are read one after another.
type independent interface{ Independent() bool }

// holds returns what is kept of the frames that are scouted: those with which groups begin that are walked
// first, and where every frame is walked, of the groups that are scouted first, if the clip can leave them out. Of
// long-GOP coding they are decoded again with those that follow.
func (m *measurement) holds() (h held) {
	switch {
	case m.info.Frames < framesPerGroup || m.info.LongGOP && len(m.groups) == groupsMeasured:
	case m.set.EveryFrame:
		if clip, can := m.clip.(independent); can && clip.Independent() {
			h.wanted = scoutedInTurn(len(m.groups))[0]
		}
	case len(m.groups) < groupsMeasured:
		h.wanted = []int{0, 1, 2, 3}
	default:
		h.wanted = inTurn(false)[0]
	}
	return h
}

// scout looks at a few pairs of frames for the ceilings, and at the first of each pair for grey: what has to be
// known before frames are walked. Two thirds of the pairs are enough where they settle it.
func (m *measurement) scout(ctx context.Context) error {
	m.place()
	s := m.newScout()
	defer s.end()
	m.held.drop()
	m.held = m.holds()
	for i, part := range scoutedInTurn(len(m.groups)) {
		if i > 0 && s.knows() {
			break
		}
		if err := s.read(ctx, part); err != nil {
			return err
		}
	}
	m.search.Settle()
	if m.lost > 0 {
		m.held.drop() // what can be read is read again as it lies
	}
	if m.seen == m.info.Frames {
		m.lost = 0 // two frames were asked for, and there is one
	}
	s.look()
	m.report(scoutShare)
	return nil
}

// A scout is a scouting under way.
type scout struct {
	*measurement
	finder             *clipping.Finder
	searching, finding aside.Task // beside the decoding of frames that are to come
	before             *decode.Frame
	looked             int // frames that had been seen when the ceilings were last looked for
}

func (m *measurement) newScout() *scout {
	r, matrix := m.how.Reading, m.how.Matrix
	m.search = placement.NewSearch(r, matrix, m.set.GreyFrom, m.info.RotationDeg)
	m.search.Told = m.getOn
	s := &scout{measurement: m, finder: clipping.NewFinder(r, matrix,
		clipping.Coding{Lossy: lossy(m.info), Even: m.info.Codec == "prores", LongGOP: m.info.LongGOP})}
	s.finder.Told = m.getOn
	m.seen, m.asked = 0, 0
	return s
}

// end waits for what is under way.
func (s *scout) end() {
	s.searching.End()
	s.finding.End()
	release(s.before)
}

// read scouts some of the groups.
func (s *scout) read(ctx context.Context, part []int) error {
	opt := decode.ReadOptions{}
	for _, group := range part {
		opt.Spans = append(opt.Spans, s.groups[group].scouted)
	}
	s.asked += wanted(opt.Spans)
	err := s.measurement.read(ctx, opt, func(f *decode.Frame) error {
		f.Group = part[f.Group]
		s.see(f)
		return nil
	})
	s.searching.Wait()
	s.finding.Wait()
	return err
}

// see takes the next frame.
func (s *scout) see(f *decode.Frame) {
	s.seen++
	v := &cells.Frame{Frame: f, Start: true}
	work, task := s.search.Collect, &s.searching
	if s.before != nil && s.before.Group == f.Group {
		v.Start, v.Before = false, s.before
		work, task = s.finder.Collect, &s.finding
	}
	beside(task, work, v)
	release(s.before)
	s.held.keep(f)
	f.Keep()
	s.before = f
	s.report(0)
}

// knows tells whether what was seen so far is enough: grey is sure, nothing may clip unseen, and the clip holds
// still.
func (s *scout) knows() bool {
	if s.lost > 0 || s.change != nil || !s.search.Sure() {
		return false
	}
	s.look()
	return !s.ceilings.Undecided && calm(s.pairs)
}

// look finds overlays and ceilings in what was seen.
func (s *scout) look() {
	if s.looked == s.seen && s.seen > 0 {
		return
	}
	s.looked = s.seen
	if s.finder.Empty() && s.before != nil {
		// One frame does not tell noise: only the sharpness of a histogram peak decides.
		s.finder.Collect(&cells.Frame{Frame: s.before, Before: s.before})
	}
	s.overlays = overlay.Find(s.finder.Surveys(), s.finder.Whites(), s.how.Reading)
	s.report(0)
	s.ceilings = s.finder.Result(s.overlays.Mask)
	s.pairs = s.finder.Glances(s.ceilings)
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
	if v.Large() {
		task.Wait()
	}
}

func release(f *decode.Frame) {
	if f != nil {
		f.Release()
	}
}
