package detect

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"stopledger/analyze/detect/lattice"
	"stopledger/analyze/detect/pyramid"
	"stopledger/analyze/robust"
)

// A chart is recognised by its colours: how the stops of 24 places go with those of the
// published patches, along three axes - lightness (r+g+b)/3, red-green r-g and blue-green b-g.
// Each axis may have its own offset and gain, so white balance, the camera's primaries and a
// wrong curve don't matter; lightness may also slope across the chart.

const axes = 3

func axesOf(t pyramid.Tone) [axes]float64 {
	return [axes]float64{(t.R + t.G + t.B) / 3, t.R - t.G, t.B - t.G}
}

// referenceAxes of the 2005 edition; the editions differ far less than cameras do.
var referenceAxes = func() (a [24][axes]float64) {
	for i := range a {
		p := Edition2005.Reference(i)
		a[i] = axesOf(pyramid.Tone{R: math.Log2(p[0]), G: math.Log2(p[1]), B: math.Log2(p[2])})
	}
	return a
}()

// referenceSpread is the standard deviation of the published colours along each axis.
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

// likeness returns the smallest of the three correlations (Pearson's) of seen patches with the
// published ones; seen lists patch numbers. Once one is below least the others are not asked for.
func likeness(seen []int, colours [][axes]float64, least float64) float64 {
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
		if worst = math.Min(worst, (sxy-sx*sy/n)/math.Sqrt(vx*vy)); worst < least {
			return worst
		}
	}
	return worst
}

// placedLikeness is the likeness of the nodes in a placing's window.
func placedLikeness(places []lattice.Place, p lattice.Placing, colours [][axes]float64, least float64) float64 {
	var seen [24]int
	var in [24][axes]float64
	n := 0
	for k, at := range places {
		if u, v, ok := p.Patch(at); ok {
			seen[n], in[n] = v*lattice.Columns+u, colours[k]
			n++
		}
	}
	return likeness(seen[:n], in[:n], least)
}

// variegated reports whether colours vary in redness and blueness by least stops, standard deviation,
// as a chart's must, however pale a picture shows it (see referenceSpread).
func variegated(colours [][axes]float64, least float64) bool {
	for k := 1; k < axes; k++ {
		var sum, square float64
		for _, c := range colours {
			sum += c[k]
			square += c[k] * c[k]
		}
		n := float64(len(colours))
		if square/n-sum*sum/(n*n) < least*least {
			return false
		}
	}
	return true
}

// A match is how well 24 colours are those of the chart.
type match struct {
	explained float64       // least of the axes: share of the variance that the published values explain
	odd       [24]bool      // patches left out: glare, something in front
	used      int           // patches left in
	gains     [axes]float64 // of the axes; lightness first
	residual  [24][axes]float64
}

// matchColours fits the axes to the patches that were seen flat, then, a few times over, to all
// that go with them: a consensus fit, in which glare is left out without having had a say.
func matchColours(colours *[24][axes]float64, seen [24]bool, p *ChartParams) match {
	var m match
	for i := range m.odd {
		m.odd[i] = !seen[i]
	}
	for range p.Rounds {
		m.fit(colours, p)
		size := m.distances(p.LeastSpread)
		var used []float64
		for i, d := range size {
			if !m.odd[i] {
				used = append(used, d)
			}
		}
		limit := p.MostDistance * math.Max(robust.Median(used), p.LeastDistance)
		for i, d := range size {
			m.odd[i] = d > limit
		}
	}
	m.fit(colours, p)
	return m
}

// distances returns how far each patch is from the fit, as a share of the axes' spread.
func (m *match) distances(least float64) (size [24]float64) {
	for i := range size {
		for k := range axes {
			spread := math.Abs(m.gains[k] * referenceSpread[k])
			size[i] += sq(m.residual[i][k] / math.Max(spread, least))
		}
		size[i] = math.Sqrt(size[i])
	}
	return size
}

// fit solves each axis by least squares over the patches that are not odd.
func (m *match) fit(colours *[24][axes]float64, p *ChartParams) {
	m.explained, m.used = 1, 0
	for i := range m.odd {
		if !m.odd[i] {
			m.used++
		}
	}
	if m.used < p.LeastFit {
		m.explained = 0
		return
	}
	for k := range axes {
		if !m.fitAxis(k, colours) {
			m.explained = 0
			return
		}
	}
}

// fitAxis solves one axis; false where the patches do not tell it.
func (m *match) fitAxis(k int, colours *[24][axes]float64) bool {
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
		return false
	}
	m.take(k, x.RawVector().Data, colours)
	return true
}

// matchRow: gain x reference + offset, and for lightness a slope across and down.
func matchRow(patch, axis int) [4]float64 {
	return [4]float64{referenceAxes[patch][axis], 1, float64(patch%6) - 2.5, float64(patch/6) - 1.5}
}

// take notes an axis's solution and what it leaves: the share of variance explained is worked with
// the residual's degrees of freedom.
func (m *match) take(axis int, x []float64, colours *[24][axes]float64) {
	m.gains[axis] = x[0]
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
