package match

import (
	"math"

	"stopledger/analyze/placement"
	"stopledger/curve"
)

// grounded tells whether a placement is read from a card, a chart or an area that the user named, and
// nothing speaks against it.
func grounded(p *placement.Placement) bool {
	if p == nil || p.Weak || p.Doubt != "" || p.Carried != "" || !curve.Finite(p.Stops) {
		return false
	}
	return p.Method == placement.Chart || p.Method == placement.Card || p.Method == placement.Region
}

// balance returns by how many stops R, G and B of a clip differ from another's, by a neutral that was
// found in both; unknown without one.
func balance(c, to Clip) [3]curve.Stops {
	a, okA := neutralOf(c)
	b, okB := neutralOf(to)
	if !okA || !okB {
		return noBalance()
	}
	var d [3]curve.Stops
	for i := range d {
		d[i] = b[i] - a[i]
	}
	return d
}

// leastNeutral is how many pixels of a view an area must have for its colour to be read.
const leastNeutral = 9

// neutralOf returns the light of R, G and B of a clip's neutral, in stops over nominal grey.
func neutralOf(c Clip) (rgb [3]curve.Stops, ok bool) {
	p := c.Grey
	if !grounded(p) {
		return rgb, false
	}
	if p.Method == placement.Chart && p.Chart != nil {
		for i, w := range p.Chart.WhiteBalance {
			rgb[i] = p.Stops + w
		}
		return rgb, true
	}
	if c.View == nil || p.Region == nil {
		return rgb, false
	}
	var sum [3]float64
	pixels := 0
	v := c.View
	const inside = 0.2 // of each side is left out: its edge may be another's
	x0, x1 := within(p.Region.X, p.Region.W, inside, v.Scale, v.Width)
	y0, y1 := within(p.Region.Y, p.Region.H, inside, v.Scale, v.Height)
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			i := y*v.Width + x
			if v.Clipped[i] != 0 {
				return rgb, false
			}
			for k, plane := range [][]float32{v.R, v.G, v.B} {
				sum[k] += float64(plane[i])
			}
			pixels++
		}
	}
	if pixels < leastNeutral {
		return rgb, false
	}
	for k := range rgb {
		rgb[k] = curve.Light(sum[k] / float64(pixels) * 0.18 / float64(p.Reflectance)).Stops()
		if !curve.Finite(rgb[k]) {
			return rgb, false
		}
	}
	return rgb, true
}

// within returns the pixels of a view that lie inside a side of an area of the frame, but for a share at
// either end.
func within(first, length int, share, scale float64, most int) (from, to int) {
	from = int(math.Ceil((float64(first) + share*float64(length)) / scale))
	to = int(math.Floor((float64(first) + (1-share)*float64(length)) / scale))
	return max(0, from), min(most, to)
}
