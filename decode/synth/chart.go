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

type matrix3 [3][3]float64

func (m matrix3) times(v [3]float64) (out [3]float64) {
	for i := range m {
		out[i] = m[i][0]*v[0] + m[i][1]*v[1] + m[i][2]*v[2]
	}
	return out
}

func (m matrix3) product(n matrix3) (out matrix3) {
	for i := range m {
		for j := range n {
			for k := range n {
				out[i][j] += m[i][k] * n[k][j]
			}
		}
	}
	return out
}

func (m matrix3) inverse() (out matrix3) {
	det := 0.0
	for i := range m {
		j, k := (i+1)%3, (i+2)%3
		det += m[0][i] * (m[1][j]*m[2][k] - m[1][k]*m[2][j])
	}
	for i := range m {
		for j := range m {
			a, b, c, d := (j+1)%3, (j+2)%3, (i+1)%3, (i+2)%3
			out[i][j] = (m[a][c]*m[b][d] - m[a][d]*m[b][c]) / det
		}
	}
	return out
}

// xyz returns X, Y, Z of a chromaticity at a luminance.
func xyz(x, y, lum float64) [3]float64 {
	return [3]float64{x / y * lum, lum, (1 - x - y) / y * lum}
}

// White points: ICC.1 (D50) and ITU-R BT.709-6, 1.4 (D65).
var (
	whiteD50 = xyz(0.34570, 0.35854, 1)
	whiteD65 = xyz(0.3127, 0.3290, 1)
)

// bradford is the cone response of the Bradford adaptation (ICC.1:2010, annex E).
var bradford = matrix3{
	{0.8951, 0.2664, -0.1614},
	{-0.7502, 1.7135, 0.0367},
	{0.0389, -0.0685, 1.0296},
}

// adaptD50 takes X, Y, Z seen under D50 to what looks alike under D65.
var adaptD50 = func() matrix3 {
	from, to := bradford.times(whiteD50), bradford.times(whiteD65)
	scale := matrix3{{to[0] / from[0]}, {0, to[1] / from[1]}, {0, 0, to[2] / from[2]}}
	return bradford.inverse().product(scale).product(bradford)
}()

// bt709FromXYZ inverts the matrix of BT.709's primaries (ITU-R BT.709-6, 1.3), scaled so that
// they add up to D65.
var bt709FromXYZ = func() matrix3 {
	var m matrix3
	for c, p := range [3][2]float64{{0.640, 0.330}, {0.300, 0.600}, {0.150, 0.060}} {
		for i, v := range xyz(p[0], p[1], 1) {
			m[i][c] = v
		}
	}
	share := m.inverse().times(whiteD65)
	for i := range m {
		for c := range m {
			m[i][c] *= share[c]
		}
	}
	return m.inverse()
}()

// bt709FromD50 returns linear BT.709 light; what lies outside its triangle has no light where
// it would have less than none.
func bt709FromD50(x, y, lum float64) Light {
	v := bt709FromXYZ.times(adaptD50.times(xyz(x, y, lum)))
	return Light{float32(max(v[0], 0)), float32(max(v[1], 0)), float32(max(v[2], 0))}
}
