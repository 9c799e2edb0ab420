package plan

import (
	"fmt"
	"math"
	"slices"

	"stopledger/analyze/clipping"
	"stopledger/analyze/limit"
	"stopledger/curve"
)

// exposures tells light from gain, for the takes that show grey.
func exposures(takes []Take, bases []int) (all []Exposure) {
	for _, t := range takes {
		grey := t.grey()
		if !curve.Finite(grey) {
			continue
		}
		base := bases[0]
		for _, b := range bases {
			if b <= t.ISO {
				base = b
			}
		}
		gain := gained(float64(t.ISO), float64(base))
		all = append(all, Exposure{t.Path, t.ISO, grey, grey - gain, gain, base})
	}
	return all
}

// findBases finds the base ISOs: the lowest, and those at which noise steps down. Within one gain stage
// recorded noise and ceiling only rise with ISO, or stay; where both ends of an interval say that noise fell,
// or the ceiling did and noise before gain with it, the sensor was switched.
func (p *Profile) findBases() {
	p.BaseISOs = []int{p.ISOs[0].ISO}
	last := p.ISOs[0]
	for _, one := range p.ISOs[1:] {
		switch {
		case one.switchedFrom(last):
			p.BaseISOs = append(p.BaseISOs, one.ISO)
		case !one.Known() && last.Known():
			continue
		case one.mayHideBase(last):
			p.Notes = append(p.Notes, fmt.Sprintf("From ISO %d to %d noise before gain falls by %.1f stops: a base ISO may "+
				"lie between them; takes at the ISOs between would tell.", last.ISO, one.ISO,
				math.Log2(float64(last.Input.Read/one.Input.Read))))
		}
		last = one
	}
}

// switchedFrom tells whether another gain stage is at work than at a lower ISO.
func (one ISO) switchedFrom(last ISO) bool {
	lower := one.Origin == clipping.Measured && last.Origin == clipping.Measured && one.Ceiling < last.Ceiling-lowerBy
	if !one.Known() || !last.Known() {
		return lower && one.Known() == last.Known()
	}
	return one.ReadHigh < last.ReadLow || lower && one.Input.ReadHigh < last.Input.ReadHigh
}

// lowerBy is how far a ceiling has to lie under the one at a lower ISO to be lower: three times what one is
// known by.
const lowerBy = 3 * limit.CeilingKnown

// A base ISO may lie hidden in a step of the ladder that is wider than wideStep, where noise before gain falls
// below stepWide of what it was. Common practice, no source.
const (
	wideStep curve.Stops = 1.1
	stepWide curve.Light = 0.7
)

func (one ISO) mayHideBase(last ISO) bool {
	return last.ReadLow > 0 && one.ReadLow > 0 && one.Input.Read < last.Input.Read*stepWide &&
		gained(float64(one.ISO), float64(last.ISO)) > wideStep
}

// findGain finds the ISO above which gain brings nothing: no higher one is told to have less noise before gain
// by what is worth a choice, and no base ISO lies above whose noise is only bounded.
func (p *Profile) findGain() {
	known := slices.DeleteFunc(slices.Clone(p.ISOs), func(one ISO) bool { return !(one.ReadLow > 0) })
	if len(known) < 2 {
		return
	}
	for i, one := range known[:len(known)-1] {
		better := func(higher ISO) bool {
			gain := 20 * math.Log10(float64(one.Input.Read/higher.Input.Read))
			return higher.Input.ReadHigh < one.Input.ReadLow && curve.Decibels(gain) >= limit.WorthChoice
		}
		hidden := func(base int) bool { return base > one.ISO && !(p.At(base).ReadLow > 0) }
		if !slices.ContainsFunc(known[i+1:], better) && !slices.ContainsFunc(p.BaseISOs, hidden) {
			p.NoGainAbove = &one.ISO
			return
		}
	}
	p.Notes = append(p.Notes, "From which ISO on gain brings nothing is not known: noise before gain falls up to the "+
		"highest ISO that tells it.")
}
