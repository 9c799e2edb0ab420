package placement

import "stopledger/curve"

// Carry returns the placement of another clip, the one at path, as that of a clip read by r. own
// is what this clip itself shows, whose candidates are kept; nil for nothing.
func Carry(held *Placement, path string, own *Placement, r curve.Reading) *Placement {
	p := &Placement{Stops: held.Stops, Low: held.Low, High: held.High, Reading: held.Reading,
		Reference: held.Reference, Method: held.Method, Carried: path,
		Confidence: curve.Unknown[curve.Ratio](), Reflectance: held.Reflectance,
		Drift: curve.Unknown[curve.Stops](), Series: []At{}, Candidates: []Candidate{}}
	light := curve.Light(float64(held.Reflectance) * held.Stops.Gain())
	p.setCode(r, r.CodeOf(light))
	if own != nil {
		p.Candidates = own.Candidates
	}
	return p
}

// StopsOr returns the placement's stops, or other where there is none or it is weak.
func (p *Placement) StopsOr(other curve.Stops) curve.Stops {
	if p == nil || p.Weak {
		return other
	}
	return p.Stops
}
