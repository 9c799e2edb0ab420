package detect

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// A chart is recognised by its colours: how the stops of 24 places go with those of the
// published patches, along three axes - lightness (r+g+b)/3, red-green r-g and blue-green b-g.
// Each axis may have its own offset and gain, so white balance, the camera's primaries and a
// wrong curve don't matter; lightness may also slope across the chart.

const axes = 3

func axesOf(t tone) [axes]float64 {
	return [axes]float64{(t.r + t.g + t.b) / 3, t.r - t.g, t.b - t.g}
}

// referenceAxes of the 2005 edition; the editions differ far less than cameras do.
var referenceAxes = func() (a [24][axes]float64) {
	for i := range a {
		p := Edition2005.Reference(i)
		a[i] = axesOf(tone{math.Log2(p[0]), math.Log2(p[1]), math.Log2(p[2])})
	}
	return a
}()

// likeness returns the smallest of the three correlations of seen patches with the published
// ones; seen lists patch numbers. Once one is too small the others are not asked for.
func likeness(seen []int, colours [][axes]float64) float64 {
	worst := 1.0
	for k := range axes {
		var sx, sy, sxx, syy, sxy float64
		for i, p := range seen {
			x, y := referenceAxes[p][k], colours[i][k]
			sx, sy, sxx, syy, sxy = sx+x, sy+y, sxx+x*x, syy+y*y, sxy+x*y
		}
		n := float64(len(seen))
		vx, vy := sxx-sx*sx/n, syy-sy*sy/n
		if vx <= 0 || vy <= 0 {
			return -1
		}
		if worst = math.Min(worst, (sxy-sx*sy/n)/math.Sqrt(vx*vy)); worst < leastLikeness {
			return worst
		}
	}
	return worst
}

// A match is how well 24 colours are those of the chart.
type match struct {
	explained float64       // least of the axes: share of the variance that the published values explain
	odd       [24]bool      // patches left out: glare, something in front
	used      int           // patches left in
	gradient  [2]float64    // stops from one patch to the next across and down
	gains     [axes]float64 // of the axes; lightness first
	residual  [24][axes]float64
}

// leastUsed patches must be left in a match.
const leastUsed = 14

// matchColours fits the axes to the patches that were seen flat, then, a few times over, to all
// that go with them: glare is left out without having had a say.
func matchColours(colours *[24][axes]float64, seen [24]bool) match {
	var m match
	for i := range m.odd {
		m.odd[i] = !seen[i]
	}
	for range 4 {
		m.fit(colours)
		size := m.distances()
		var used []float64
		for i, d := range size {
			if !m.odd[i] {
				used = append(used, d)
			}
		}
		limit := 3 * math.Max(median(used), leastDistance)
		for i, d := range size {
			m.odd[i] = d > limit
		}
	}
	m.fit(colours)
	return m
}

// leastDistance is how far patches lie from the fit where all is well: another camera's colours.
const leastDistance = 0.1

// distances returns how far each patch is from the fit, as a share of the axes' spread.
func (m *match) distances() (size [24]float64) {
	for i := range size {
		for k := range axes {
			spread := math.Abs(m.gains[k] * referenceSpread[k])
			size[i] += sq(m.residual[i][k] / math.Max(spread, 0.05))
		}
		size[i] = math.Sqrt(size[i])
	}
	return size
}

var referenceSpread = func() (s [axes]float64) {
	for k := range axes {
		var sum, sq float64
		for i := range referenceAxes {
			sum += referenceAxes[i][k]
			sq += referenceAxes[i][k] * referenceAxes[i][k]
		}
		s[k] = math.Sqrt(sq/24 - sum*sum/576)
	}
	return s
}()

// fit solves each axis by least squares over the patches that are not odd.
func (m *match) fit(colours *[24][axes]float64) {
	m.explained, m.used = 1, 0
	for i := range m.odd {
		if !m.odd[i] {
			m.used++
		}
	}
	if m.used < 6 {
		m.explained = 0
		return
	}
	for k := range axes {
		columns := 2
		if k == 0 {
			columns = 4
		}
		a := mat.NewDense(m.used, columns, nil)
		b := mat.NewVecDense(m.used, nil)
		row := 0
		for i := range colours {
			if !m.odd[i] {
				r := matchRow(i, k)
				a.SetRow(row, r[:columns])
				b.SetVec(row, colours[i][k])
				row++
			}
		}
		var x mat.VecDense
		if x.SolveVec(a, b) != nil {
			m.explained = 0
			return
		}
		m.take(k, x.RawVector().Data, colours)
	}
}

// matchRow: gain x reference + offset, and for lightness a slope across and down.
func matchRow(patch, axis int) [4]float64 {
	return [4]float64{referenceAxes[patch][axis], 1, float64(patch%6) - 2.5, float64(patch/6) - 1.5}
}

func (m *match) take(axis int, x []float64, colours *[24][axes]float64) {
	m.gains[axis] = x[0]
	if axis == 0 {
		m.gradient = [2]float64{x[2], x[3]}
	}
	var left, sum, sq float64
	for i := range colours {
		row, value := matchRow(i, axis), 0.0
		for c := range x {
			value += x[c] * row[c]
		}
		m.residual[i][axis] = colours[i][axis] - value
		if !m.odd[i] {
			left += m.residual[i][axis] * m.residual[i][axis]
			sum += x[0] * row[0]
			sq += x[0] * x[0] * row[0] * row[0]
		}
	}
	n := float64(m.used)
	said := sq - sum*sum/n
	if x[0] <= 0 {
		m.explained = 0
		return
	}
	m.explained = math.Min(m.explained, said/(said+left*n/(n-float64(len(x)))))
}
