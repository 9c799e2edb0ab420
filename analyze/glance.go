package analyze

import (
	"slices"

	"stopledger/analyze/clipping"
	"stopledger/analyze/placement"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// A clip is measured in fewer groups than its plan has where nothing was seen to change from one of the
// pairs scouted to another, and until intervals are as narrow as this: 95 %, half of what groups differ
// by, Student's t of their mean.
const (
	calmLevel   curve.Stops = 0.05  // between the log-averages of any two pairs; half of what is told of drift
	calmShare   curve.Share = 0.003 // between their shares at the ceilings
	closePlace  curve.Stops = 0.02
	closeFloor  curve.Stops = 0.1
	closeShare  curve.Share = 0.003
	leastGroups             = 3 // two may agree by chance
)

// calm tells whether the pairs of frames that were scouted differ by no more than that.
func calm(pairs []clipping.Glance) bool {
	var levels, shares spread
	for channel := range 3 {
		levels, shares = spread{}, spread{}
		for _, p := range pairs {
			levels.add(float64(p.Average[channel]))
			shares.add(float64(p.Clipped[channel]))
		}
		if !(levels.width() <= float64(calmLevel)) || !(shares.width() <= float64(calmShare)) {
			return false
		}
	}
	return true
}

// spread is the least and the greatest of some numbers.
type spread struct {
	low, high float64
	any       bool
}

func (s *spread) add(v float64) {
	if !s.any {
		s.low, s.high, s.any = v, v, true
	}
	s.low, s.high = min(s.low, v), max(s.high, v) // NaN stays NaN
}

func (s *spread) width() float64 { return s.high - s.low }

// enough tells whether what was measured so far is as close as it is to be, and beyond doubt. A floor that is
// not known, noise that something disturbs and exposure that moves are not: then more is measured. Noise that
// is hidden stays so: it is not waited for where the part measured before, nil for none, says the same of it.
func enough(r, before *Result) bool {
	v := r.Variation
	hidden := before != nil && before.Noise.Suppressed && r.Noise.Suppressed &&
		slices.Equal(before.Noise.Causes, r.Noise.Causes)
	if r.Clipping.Undecided || !hidden && (r.Noise.Doubt != "" || len(r.Noise.Causes) > 0) ||
		curve.Finite(v.Step) || curve.Finite(v.Drift) || curve.Finite(v.Flicker) {
		return false
	}
	if r.Groups < leastGroups {
		return false
	}
	var floors, shares []float64
	for i := range r.Noise.Groups {
		floors = append(floors, float64(r.Noise.Groups[i].Floor))
		shares = append(shares, float64(r.Clipping.Groups[i].Any))
	}
	return (hidden || robust.HalfInterval(floors) <= float64(closeFloor)) &&
		robust.HalfInterval(shares) <= float64(closeShare) && robust.HalfInterval(placedAt(r)) <= float64(closePlace)
}

// placedAt returns where grey is, over the clip, or else how light the scene is.
func placedAt(r *Result) (stops []float64) {
	if p := r.Placement; p != nil && p.Method != placement.Scene {
		for _, at := range p.Series {
			stops = append(stops, float64(at.Stops))
		}
		return stops
	}
	for _, g := range r.Levels.Groups {
		stops = append(stops, float64(g.Average))
	}
	return stops
}

// between widens the interval of clipped shares by what pairs that were scouted show of the groups that
// were not measured.
func between(r *clipping.Result, pairs []clipping.Glance) {
	var widest float64
	for channel := range 3 {
		var shares spread
		for _, p := range pairs {
			shares.add(float64(p.Clipped[channel]))
		}
		widest = max(widest, shares.width())
	}
	r.Low, r.High = max(r.Low-curve.Share(widest), 0), min(r.High+curve.Share(widest), 1)
}
