package detect

import (
	"math"
	"slices"

	"stopledger/analyze/detect/pyramid"
	"stopledger/analyze/robust"
	"stopledger/decode/geometry"
)

// A refinement moves a chart's grid onto its patches as one level shows them.
type refinement struct {
	level *pyramid.Level
	p     *RefineParams
	edge  float64 // deviation that counts as an edge, codes
}

// settled refines the views of one chart, the better first, and returns the one whose patches
// are the most uniform. Those that lie where one lies already are passed over.
func (s *scan) settled(same []chartView) chartView {
	l, corner := s.viewOf(same[0].grid)
	onto := func(g geometry.Homography) geometry.Homography { return g.Plus(corner.Scale(-1)).Times(1 / l.Scale) }
	r := refinement{level: l, p: &s.p.Refine}
	r.edge = r.edgeOf(onto(same[0].grid))
	var none [24]bool
	best, least := same[0], math.Inf(1)
	var tried []geometry.Quad
	for _, one := range same {
		grid := onto(one.grid)
		q := gridOutline(grid)
		near := func(o geometry.Quad) bool { return q.Farthest(o) < r.p.Apart*q.Side(0)/6 }
		if slices.ContainsFunc(tried, near) || len(tried) >= 2*r.p.MostTries {
			continue
		}
		tried = append(tried, q)
		grid = r.refined(grid, &one.match.odd)
		tried = append(tried, gridOutline(grid))
		if u := r.uneven(grid, &none); u < least {
			one.grid = grid.Times(l.Scale).Plus(corner)
			best, least = one, u
		}
	}
	return best
}

// viewOf returns the coarsest level that shows the patches of a grid large enough and where its
// corner lies in the frame; of a small chart it is the frame itself, as much as is around it.
func (s *scan) viewOf(grid geometry.Homography) (*pyramid.Level, geometry.Point) {
	enough := s.p.Refine.EnoughPx
	pitch := math.Min(grid.At(2, 1).Distance(grid.At(3, 1)), grid.At(2, 1).Distance(grid.At(2, 2)))
	if pitch < enough*s.levels[0].Scale {
		area := gridOutline(grid).Grow(pitch).Bounds()
		return pyramid.CloseUp(s.meter.frame, s.meter.reading, s.matrix, area)
	}
	best := s.levels[0]
	for _, l := range s.levels {
		if pitch/l.Scale >= enough {
			best = l
		}
	}
	return best, geometry.Point{}
}

// cornerMoves are the corners of the grid that a trial moves together: all, a side, one.
var cornerMoves = [][]int{{0, 1, 2, 3}, {0, 1}, {1, 2}, {2, 3}, {3, 0}, {0}, {1}, {2}, {3}}

// moveWays are the ways they are moved.
var moveWays = []geometry.Point{{X: 1, Y: 0}, {X: -1, Y: 0}, {X: 0, Y: 1}, {X: 0, Y: -1}}

// refined moves the corners of a chart's grid until each patch is as uniform inside as it can be:
// where a patch was only partly flat, its centre was not quite known. It is a pattern search (R.
// Hooke, T. A. Jeeves, "Direct search solution of numerical and statistical problems", Journal of the
// ACM 8, 1961, from memory).
func (r *refinement) refined(grid geometry.Homography, odd *[24]bool) geometry.Homography {
	corners := grid.Image(0, 0, 5, 3)
	pitch := grid.At(2, 1).Distance(grid.At(3, 2)) / math.Sqrt2
	least := r.uneven(grid, odd)
	for _, step := range r.p.Steps {
		for range r.p.Rounds {
			before := least
			for _, together := range cornerMoves {
				for _, d := range moveWays {
					trial := corners
					for _, i := range together {
						trial[i] = trial[i].Add(d.Scale(step * pitch))
					}
					moved := gridThrough(trial)
					if u := r.uneven(moved, odd); u < least*(1-r.p.LessUneven) {
						least, grid, corners = u, moved, trial
					}
				}
			}
			if least == before {
				break
			}
		}
	}
	return grid
}

// gridThrough returns the homography that takes the outer patches (0, 0), (5, 0), (5, 3) and (0, 3) to
// the corners of a convex quad.
func gridThrough(q geometry.Quad) geometry.Homography {
	h := geometry.SquareTo(q)
	for _, row := range [3]int{0, 3, 6} {
		h[row] /= 5
		h[row+1] /= 3
	}
	return h
}

// uneven sums the deviations inside the patches that are not odd, each bounded by what it would be
// across an edge, so that glare on a few does not lead.
func (r *refinement) uneven(grid geometry.Homography, odd *[24]bool) (total float64) {
	for n := range 24 {
		if !odd[n] {
			total += math.Min(r.deviation(grid, n), r.edge)
		}
	}
	return total
}

// edgeOf returns the deviation that counts as an edge: about what two patches differ by, or more
// where noise is as much.
func (r *refinement) edgeOf(grid geometry.Homography) float64 {
	d := make([]float64, 24)
	for n := range d {
		d[n] = r.deviation(grid, n)
	}
	return math.Max(r.p.EdgeCode, r.p.EdgeNoise*robust.Median(d))
}

// deviation is the mean absolute deviation of the signal inside a patch, its channels added.
func (r *refinement) deviation(grid geometry.Homography, n int) (d float64) {
	const steps, all = patchProbes, patchProbes * patchProbes
	l, reach := r.level, r.p.Inside
	var y, u, v [all]float64
	var my, mu, mv float64
	for k := range y {
		a, b := 2*float64(k%steps)/(steps-1)-1, 2*float64(k/steps)/(steps-1)-1
		p := grid.At(float64(n%6)+reach*a, float64(n/6)+reach*b)
		i := l.At(p.X, p.Y)
		y[k], u[k], v[k] = float64(l.Y[i]), float64(l.U[i]), float64(l.V[i])
		my, mu, mv = my+y[k]/all, mu+u[k]/all, mv+v[k]/all
	}
	for k := range y {
		d += (math.Abs(y[k]-my) + math.Abs(u[k]-mu) + math.Abs(v[k]-mv)) / all
	}
	return d
}
