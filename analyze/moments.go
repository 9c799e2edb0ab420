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

// exposures returns the level of each group of frames: of the grey where it is seen in each, else
// of the scene.
func exposures(r *Result) []placement.At {
	if p := r.Placement; p != nil && p.Method != placement.Scene && len(p.Series) == len(r.Levels.Groups) {
		return p.Series
	}
	var levels []placement.At
	for _, g := range r.Levels.Groups {
		levels = append(levels, placement.At{T: g.T, Stops: g.Average})
	}
	return levels
}
