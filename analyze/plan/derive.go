package plan

import "stopledger/curve"

// Derive fills in what follows from the rest of the profile, whose ISOs are lowest first: the usable range
// and the noise in light before gain.
func (p *Profile) Derive() {
	if p.Notes == nil {
		p.Notes = []string{}
	}
	for i := range p.ISOs {
		one := &p.ISOs[i]
		gain := curve.Light(float64(one.ISO) / float64(p.ISOs[0].ISO))
		one.Usable = one.Ceiling - one.Floor
		one.Input = Input{one.Read / gain, one.ReadLow / gain, one.ReadHigh / gain, one.Shot / gain}
	}
}
