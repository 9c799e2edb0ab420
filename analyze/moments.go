package analyze

import (
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// moments returns one entry a group of frames.
func moments(r *Result) []Moment {
	at := map[curve.Seconds]curve.Stops{}
	if p := r.Placement; p != nil && !p.Weak {
		for _, s := range p.Series {
			at[s.T] = s.Stops
		}
	}
	var out []Moment
	for i, g := range r.Levels.Groups {
		stops, ok := at[g.T]
		if !ok {
			stops = curve.Unknown[curve.Stops]()
		}
		out = append(out, Moment{T: g.T, Placement: stops, Level: g.Average,
			Floor: r.Noise.Groups[i].Floor, Clipped: r.Clipping.Groups[i].Any})
	}
	return out
}

// exposures returns levels over the clip: of the grey where it is seen in each group of frames, else of the
// scene.
func exposures(r *Result) []placement.At {
	seen := map[curve.Seconds]bool{}
	if p := r.Placement; p != nil && p.Method != placement.Scene {
		for _, at := range p.Series {
			seen[at.T] = true
		}
	}
	var levels []placement.At
	everywhere := true
	for _, g := range r.Levels.Groups {
		levels = append(levels, placement.At{T: g.T, Stops: g.Average})
		everywhere = everywhere && seen[g.T]
	}
	if everywhere && len(levels) > 0 {
		return r.Placement.Series
	}
	return levels
}
