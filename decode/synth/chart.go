package synth

import (
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// Chart patches of the 24-patch colour chart (McCamy, Marcus, Davidson: A Color-Rendition Chart,
// Journal of Applied Photographic Engineering 2(3), 1976) in reading order: x, y, Y as
// published for the charts of 2005, under ICC D50, 2 degree observer (dataset "ColorChecker
// 2005" of colour-science/colour).
var chartPatches = [24]struct {
	name      string
	x, y, lum float64
}{
	{"dark skin", 0.4316, 0.3777, 0.1008},
	{"light skin", 0.4197, 0.3744, 0.3495},
	{"blue sky", 0.2760, 0.3016, 0.1836},
	{"foliage", 0.3703, 0.4499, 0.1325},
	{"blue flower", 0.2999, 0.2856, 0.2304},
	{"bluish green", 0.2848, 0.3911, 0.4178},
	{"orange", 0.5295, 0.4055, 0.3118},
	{"purplish blue", 0.2305, 0.2106, 0.1126},
	{"moderate red", 0.5012, 0.3273, 0.1938},
	{"purple", 0.3319, 0.2482, 0.0637},
	{"yellow green", 0.3984, 0.5008, 0.4446},
	{"orange yellow", 0.4957, 0.4427, 0.4357},
	{"blue", 0.2018, 0.1692, 0.0575},
	{"green", 0.3253, 0.5032, 0.2318},
	{"red", 0.5686, 0.3303, 0.1257},
	{"yellow", 0.4697, 0.4734, 0.5981},
	{"magenta", 0.4159, 0.2688, 0.2009},
	{"cyan", 0.2131, 0.3023, 0.1930},
	{"white 9.5", 0.3469, 0.3608, 0.9131},
	{"neutral 8", 0.3440, 0.3584, 0.5894},
	{"neutral 6.5", 0.3432, 0.3581, 0.3632},
	{"neutral 5", 0.3446, 0.3579, 0.1915},
	{"neutral 3.5", 0.3401, 0.3548, 0.0883},
	{"black 2", 0.3406, 0.3537, 0.0311},
}

const firstNeutral = 18

// Measures of the chart in its own units (classic model of OpenCV's mcc module): patch over
// pitch is 0.909.
const (
	chartPatch  = 2.5
	chartPitch  = 2.75
	chartMargin = 0.25
	chartWidth  = 16.75
	chartHeight = 11.25
)

// chartBody is the reflectance of the black frame around the patches (invented).
const chartBody = 0.035

// NewChart returns a 24-patch chart whose black body fills the quad. The bottom row of six is
// made exactly neutral, at its published Y. The others are taken from D50 to D65 by the
// Bradford adaptation and given in linear BT.709 primaries; cyan, which lies outside them, has
// its red set to no light at all.
func NewChart(q geometry.Quad) *Patches {
	p := &Patches{}
	p.add(q, Grey(chartBody), 1)
	p.known = append(p.known, Mark{Kind: MarkChart, Name: "chart", Quad: q})
	for i, c := range chartPatches {
		u := (chartMargin + chartPitch*float64(i%6)) / chartWidth
		v := (chartMargin + chartPitch*float64(i/6)) / chartHeight
		light := Grey(curve.Light(c.lum))
		if i < firstNeutral {
			light = bt709FromD50(c.x, c.y, c.lum)
		}
		p.addKnown(Mark{
			Kind: MarkPatch, Name: c.name, Reflectance: curve.Light(c.lum), Neutral: i >= firstNeutral,
			Quad: q.Part(u, v, u+chartPatch/chartWidth, v+chartPatch/chartHeight),
		}, light)
	}
	return p
}
