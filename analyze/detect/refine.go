package detect

import (
	"math"

	"stopledger/decode/geometry"
)

// cornerMoves are the corners of the grid that a trial moves together: all, a side, one.
var cornerMoves = [][]int{{0, 1, 2, 3}, {0, 1}, {1, 2}, {2, 3}, {3, 0}, {0}, {1}, {2}, {3}}

// refined moves the corners of a chart's grid until each patch is as uniform inside as it can be:
// where a patch was only partly flat, its centre was not quite known. Steps are a tenth of the
// pitch and less.
func refined(l *level, grid geometry.Homography, odd *[24]bool, edge float64) geometry.Homography {
	corners := geometry.Quad{grid.At(0, 0), grid.At(5, 0), grid.At(5, 3), grid.At(0, 3)}
	pitch := grid.At(2, 1).Distance(grid.At(3, 2)) / math.Sqrt2
	least := uneven(l, grid, odd, edge)
	for _, step := range []float64{0.1, 0.05, 0.025} {
		for range 4 {
			before := least
			for _, together := range cornerMoves {
				for _, d := range []geometry.Point{{X: 1, Y: 0}, {X: -1, Y: 0}, {X: 0, Y: 1}, {X: 0, Y: -1}} {
					trial := corners
					for _, i := range together {
						trial[i] = trial[i].Add(d.Scale(step * pitch))
					}
					moved := gridThrough(trial)
					if u := uneven(l, moved, odd, edge); u < least*(1-lessUneven) {
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
// the corners of a convex quad (P. S. Heckbert, "Fundamentals of Texture Mapping and Image
// Warping", 1989, 2.2.3, from memory).
func gridThrough(q geometry.Quad) geometry.Homography {
	a, b, s := q[1].Sub(q[2]), q[3].Sub(q[2]), q[0].Sub(q[1]).Add(q[2]).Sub(q[3])
	det := a.Cross(b)
	g, h := s.Cross(b)/det, a.Cross(s)/det
	across, down := q[1].Scale(1+g).Sub(q[0]), q[3].Scale(1+h).Sub(q[0])
	return geometry.Homography{across.X / 5, down.X / 3, q[0].X, across.Y / 5, down.Y / 3, q[0].Y, g / 5, h / 3, 1}
}

// lessUneven is the share by which a move must better the patches, so that noise moves nothing.
const lessUneven = 0.005

// uneven sums the deviations inside the patches that are not odd, each bounded by what it would be
// across an edge, so that glare on a few does not lead.
func uneven(l *level, grid geometry.Homography, odd *[24]bool, edge float64) (total float64) {
	for n := range 24 {
		if !odd[n] {
			total += math.Min(deviation(l, grid, n), edge)
		}
	}
	return total
}

// edgeOf returns the deviation that counts as an edge: about what two patches differ by, 12-bit
// scale, or more where noise is as much.
func edgeOf(l *level, grid geometry.Homography) float64 {
	const patches, noises = 150, 2
	d := make([]float64, 24)
	for n := range d {
		d[n] = deviation(l, grid, n)
	}
	return math.Max(patches, noises*median(d))
}

// deviation is the mean absolute deviation of the signal inside a patch.
func deviation(l *level, grid geometry.Homography, n int) (d float64) {
	const steps, reach = 5, 0.36 // of the pitch: to within a tenth of the patch's edge
	var y, u, v [steps * steps]float64
	var my, mu, mv float64
	for k := range y {
		at := grid.At(float64(n%6)+reach*(2*float64(k%steps)/(steps-1)-1), float64(n/6)+reach*(2*float64(k/steps)/(steps-1)-1))
		i := min(max(int(at.Y), 0), l.h-1)*l.w + min(max(int(at.X), 0), l.w-1)
		y[k], u[k], v[k] = float64(l.y[i]), float64(l.u[i]), float64(l.v[i])
		my, mu, mv = my+y[k]/(steps*steps), mu+u[k]/(steps*steps), mv+v[k]/(steps*steps)
	}
	for k := range y {
		d += (math.Abs(y[k]-my) + math.Abs(u[k]-mu) + math.Abs(v[k]-mv)) / (steps * steps)
	}
	return d
}
