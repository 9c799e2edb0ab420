package synth

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
