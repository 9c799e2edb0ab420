package find

import (
	"math"
	"slices"
)

// median returns the middle value, the mean of the two middle ones for an even number, NaN for
// none. It does not change its argument.
func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	s := slices.Clone(x)
	slices.Sort(s)
	n := len(s) / 2
	if len(s)%2 == 1 {
		return s[n]
	}
	return (s[n-1] + s[n]) / 2
}

// steadyPlane fits z = level + gx (x - mean x) + gy (y - mean y) by least squares, once more
// without what stands off, and returns the robust standard deviation of what is left.
func steadyPlane(x, y, z []float64) (level, gx, gy, left float64) {
	keep := make([]bool, len(z))
	for i := range keep {
		keep[i] = true
	}
	off := make([]float64, len(z))
	for range 3 {
		level, gx, gy = planeOf(x, y, z, keep)
		mx, my := meanOf(x, keep), meanOf(y, keep)
		for i := range z {
			off[i] = math.Abs(z[i] - level - gx*(x[i]-mx) - gy*(y[i]-my))
		}
		left = median(off) / 0.6745 // of a normal distribution, its standard deviation
		for i := range keep {
			keep[i] = off[i] <= 3*left+1e-9
		}
	}
	return level, gx, gy, left
}

func planeOf(x, y, z []float64, keep []bool) (level, gx, gy float64) {
	mx, my, mz := meanOf(x, keep), meanOf(y, keep), meanOf(z, keep)
	var xx, yy, xy, xz, yz float64
	for i := range z {
		if keep[i] {
			dx, dy, dz := x[i]-mx, y[i]-my, z[i]-mz
			xx, yy, xy, xz, yz = xx+dx*dx, yy+dy*dy, xy+dx*dy, xz+dx*dz, yz+dy*dz
		}
	}
	if det := xx*yy - xy*xy; det > 0 {
		gx, gy = (xz*yy-yz*xy)/det, (yz*xx-xz*xy)/det
	}
	return mz, gx, gy
}

func meanOf(x []float64, keep []bool) float64 {
	var s, n float64
	for i := range x {
		if keep[i] {
			s += x[i]
			n++
		}
	}
	return s / math.Max(n, 1)
}
