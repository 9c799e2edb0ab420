package analyze

import (
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// moments returns one entry a group of frames.
func (m *measurement) moments(r *Result) []Moment {
	var out []Moment
	for i, g := range r.Levels.Groups {
		stops := curve.Unknown[curve.Stops]()
		if p := r.Placement; p != nil && !p.Weak {
			stops, _ = m.greyIn(p, g.T)
		}
		out = append(out, Moment{T: g.T, Placement: stops, Level: g.Average,
			Floor: r.Noise.Groups[i].Floor, Clipped: r.Clipping.Groups[i].Any})
	}
	return out
}

// greyIn returns where grey is in the group of frames that begins at a time; unknown and false where it is not
// seen there. It was seen in the first of the frames that were scouted, which not all groups begin with.
func (m *measurement) greyIn(p *placement.Placement, t curve.Seconds) (curve.Stops, bool) {
	var late curve.Seconds
	if rate := m.info.FrameRate(); rate > 0 && !m.set.EveryFrame {
		late = curve.Seconds((framesPerGroup - 0.5) / rate)
	}
	for _, at := range p.Series {
		if at.T >= t && at.T <= t+late {
			return at.Stops, true
		}
	}
	return curve.Unknown[curve.Stops](), false
}

// exposures returns levels over the clip: of the grey where it is seen in each group of frames, else of the
// scene.
func (m *measurement) exposures(r *Result) []placement.At {
	var levels []placement.At
	p := r.Placement
	everywhere := p != nil && p.Method != placement.Scene
	for _, g := range r.Levels.Groups {
		levels = append(levels, placement.At{T: g.T, Stops: g.Average})
		if everywhere {
			_, everywhere = m.greyIn(p, g.T)
		}
	}
	if everywhere && len(levels) > 0 {
		return p.Series
	}
	return levels
}
