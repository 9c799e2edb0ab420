package audit

import (
	"path/filepath"

	"stopledger/analyze"
	"stopledger/analyze/advise"
	"stopledger/analyze/placement"
	"stopledger/analyze/plan"
	"stopledger/curve"
	"stopledger/report"
)

// Conclude makes a clip's document of what was measured: where grey is, is settled, and advice given.
// held is the clip before it whose grey may be carried over, nil for none. It is a pure function; the
// document has no pictures yet.
func Conclude(m *Measurement, s analyze.Settings, held *report.Clip) report.Clip {
	m, told := m.served(s.Profile)
	grey, notCarried := settleGrey(m, s.HoldGrey, held)
	return document(m, s, grey, advise.Advise(adviseOn(m, s, grey, append(told, notCarried...))))
}

// served returns the measurement with what a camera's profile tells of it, and what is to be said of that.
func (m *Measurement) served(p *plan.Profile) (*Measurement, []advise.Finding) {
	if p == nil {
		return m, nil
	}
	with := *m
	r := &with.Result
	clip := plan.Clip{ISO: m.Said.Camera.Speed(), Camera: m.Said.Camera.Name(), Reading: r.Settled.Reading}
	s := p.Serve(clip, r.Noise, r.Clipping)
	r.Noise, r.Clipping = s.Noise, s.Clipping
	var told []advise.Finding
	for _, one := range []advise.Finding{{ID: advise.ProfileUsed, Level: advise.Note, Text: s.Used},
		{ID: advise.ProfileUnused, Level: advise.Note, Text: s.Unused},
		{ID: advise.ProfileDoubt, Level: advise.Caution, Text: s.Doubt}} {
		if one.Text != "" {
			told = append(told, one)
		}
	}
	return &with, told
}

// lacksGrey tells whether a clip shows no grey of its own that is sure.
func (m *Measurement) lacksGrey() bool { return m.Result.Placement == nil || m.Result.Placement.Weak }

// settleGrey settles where grey is: where it was found in the clip, or, with --hold-grey, where
// an earlier clip has it that was recorded alike; else why it was not carried is noted.
func settleGrey(m *Measurement, hold bool, held *report.Clip) (*placement.Placement, []advise.Finding) {
	own, reading := m.Result.Placement, m.Result.Settled.Reading
	if !hold || !m.lacksGrey() {
		return own, nil
	}
	why := refused(held, m.Info.Path, reading.Curve.Name, m.Said.Camera)
	if own != nil && own.Doubt == placement.Curve {
		why = curveInDoubt
	}
	if why != "" {
		return own, []advise.Finding{{ID: advise.GreyNotCarried, Level: advise.Note, Text: why.text(held)}}
	}
	return placement.Carry(held.Placement, held.Path, own, reading), nil
}

func adviseOn(m *Measurement, s analyze.Settings, grey *placement.Placement, notCarried []advise.Finding) advise.Facts {
	r := &m.Result
	change := ""
	if r.Change != nil {
		change = r.Change.Change()
	}
	judged := s.JudgedBy(folderOf(m.Info.Path))
	return advise.Facts{Change: change, Placement: grey,
		Noise: &r.Noise, Clipping: &r.Clipping, Variation: r.Variation, Levels: &r.Levels, Patches: r.Patches,
		Reading: r.Settled.Reading, Assumed: r.Settled.Assumed, LossyCodec: r.LossyCodec,
		Interlaced: m.Info.Interlaced, Overlays: r.Overlays, Truncated: m.Info.Truncated, Lost: r.Lost,
		Doubts:  append(advise.Doubted(r.Settled.Doubts), notCarried...),
		Display: s.Display.For(r.Settled.Reading),
		Camera:  m.Said.Camera, Rate: curve.Amount(m.Info.FrameRate()),
		Target: judged.Target, Intended: judged.Intended, Rules: judged.Rules, Lifts: s.Lifts}
}

// folderOf returns the folder of a clip by its whole path, so that rules hold wherever the program is
// started from.
func folderOf(path string) string {
	if whole, err := filepath.Abs(path); err == nil {
		path = whole
	}
	return filepath.Dir(path)
}
