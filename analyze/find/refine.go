package find

import (
	"math"
)

// refined moves the corners of a chart's grid until each patch is as uniform inside as it can be:
// where a patch was only partly flat, its centre was not quite known. It tries each corner both
// ways in steps of a tenth of the pitch and less.
func refined(l *level, grid homography) homography {
	places := []Point{{0, 0}, {5, 0}, {5, 3}, {0, 3}}
	corners := make([]Point, len(places))
	for i, p := range places {
		corners[i] = grid.at(p.X, p.Y)
	}
	pitch := grid.at(2, 1).distance(grid.at(3, 2)) / math.Sqrt2
	least := uneven(l, &grid)
	for _, step := range []float64{0.1, 0.05, 0.025} {
		for range 4 {
			better := false
			for i := range corners {
				for _, d := range []Point{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
					was := corners[i]
					corners[i] = was.add(d.scale(step * pitch))
					if moved, err := fitHomography(places, corners); err == nil {
						if u := uneven(l, &moved); u < least*(1-lessUneven) {
							least, grid, better = u, moved, true
							continue
						}
					}
					corners[i] = was
				}
			}
			if !better {
				break
			}
		}
	}
	return grid
}

// lessUneven is the share by which a move must better the patches, so that noise moves nothing.
const lessUneven = 0.01

// uneven is the mean absolute deviation of the signal inside the patches, each bounded by what
// it would be across an edge, so that glare on a few does not lead.
func uneven(l *level, grid *homography) float64 {
	const steps, reach = 6, 0.36 // of the pitch: to within a tenth of the patch's edge
	total := 0.0
	for n := range 24 {
		var y, u, v [steps * steps]float64
		var my, mu, mv float64
		for k := range y {
			at := grid.at(float64(n%6)+reach*(2*float64(k%steps)/(steps-1)-1), float64(n/6)+reach*(2*float64(k/steps)/(steps-1)-1))
			i := min(max(int(at.Y), 0), l.h-1)*l.w + min(max(int(at.X), 0), l.w-1)
			y[k], u[k], v[k] = float64(l.y[i]), float64(l.u[i]), float64(l.v[i])
			my, mu, mv = my+y[k]/(steps*steps), mu+u[k]/(steps*steps), mv+v[k]/(steps*steps)
		}
		d := 0.0
		for k := range y {
			d += math.Abs(y[k]-my) + math.Abs(u[k]-mu) + math.Abs(v[k]-mv)
		}
		const edge = 150 // about two patches' difference, 12-bit scale
		total += math.Min(d/(steps*steps), edge)
	}
	return total / 24
}
