package placement

import (
	"math"

	"stopledger/analyze/levels"
	"stopledger/curve"
)

// region returns the placement that the first area shows, nil where it holds no light or there
// is none.
func (a *Accumulator) region() *Placement {
	if len(a.from.Regions) == 0 {
		return nil
	}
	patch := a.from.Regions[0]
	p := &Placement{Method: Region, Confidence: curve.Unknown[curve.Ratio](),
		Reflectance: patch.Reflectance, Region: &patch.Region}
	var light, frames, uneven float64
	for _, g := range a.inOrder() {
		s := &g.patches[0]
		mean := s.light(a.table)
		light += float64(mean) * float64(g.frames)
		frames += float64(g.frames)
		if mean > 0 {
			p.Series = append(p.Series, At{g.t, over(mean, patch.Reflectance)})
		}
		uneven = max(uneven, s.uneven(a.table.Reading, g.frames))
	}
	light /= frames
	if !(light > 0) {
		return nil
	}
	p.Stops = over(curve.Light(light), patch.Reflectance)
	p.setCode(a.table.Reading, a.table.Reading.CodeOf(curve.Light(light)))
	p.setInterval(uneven, areaKnown)
	return p
}

// over returns how far light lies above what a patch of this reflectance gives at nominal
// exposure.
func over(light curve.Light, reflectance curve.Ratio) curve.Stops {
	return curve.Stops(math.Log2(float64(light) / float64(reflectance)))
}

// setCode takes the file code of the mean light.
func (p *Placement) setCode(r curve.Reading, code curve.FileCode) {
	level := r.Level(code)
	p.Code, p.Percent = level.Code, level.Percent
}

// gap returns by how much the second area says another exposure than the first, unknown without
// two that hold light: their light must stand in the ratio of their reflectances.
func (a *Accumulator) gap() curve.Stops {
	if len(a.from.Regions) < 2 {
		return curve.Unknown[curve.Stops]()
	}
	var stops [2]curve.Stops
	groups := a.inOrder()
	for i := range stops {
		var light float64
		for _, g := range groups {
			light += float64(g.patches[i].light(a.table)) / float64(len(groups))
		}
		if !(light > 0) {
			return curve.Unknown[curve.Stops]()
		}
		stops[i] = over(curve.Light(light), a.from.Regions[i].Reflectance)
	}
	return stops[1] - stops[0]
}

// average returns the scene's log-average as a placement, weak unless the user takes it for a
// ground.
func average(groups []levels.Group, from GreyFrom, r curve.Reading) *Placement {
	p := &Placement{Method: Scene, Weak: !from.SceneTarget, Confidence: 0, Reflectance: curve.MidGrey}
	var sum, frames float64
	for _, g := range groups {
		p.Series = append(p.Series, At{g.T, g.Average})
		sum += float64(g.Average) * float64(g.Frames)
		frames += float64(g.Frames)
	}
	p.Stops = curve.Stops(sum / frames)
	p.setCode(r, r.CodeOf(p.Stops.Light()))
	p.setInterval(0, sceneKnown)
	if p.Weak { // it is not grey, and nothing tells how far from it
		p.Low, p.High = curve.Unknown[curve.Stops](), curve.Unknown[curve.Stops]()
		p.Reading, p.Reference = p.Low, p.Low
	}
	return p
}
