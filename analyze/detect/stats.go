package detect

import (
	"math"
	"slices"

	"stopledger/decode/geometry"
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

// A lightPlane is a value that changes evenly: level at the point middle, gx and gy a pixel.
type lightPlane struct {
	middle        geometry.Point
	level, gx, gy float64
}

func (p lightPlane) at(q geometry.Point) float64 {
	d := q.Sub(p.middle)
	return p.level + p.gx*d.X + p.gy*d.Y
}

// times returns the plane over pixels k times as large.
func (p lightPlane) times(k float64) lightPlane {
	return lightPlane{p.middle.Scale(1 / k), p.level, p.gx * k, p.gy * k}
}

// steadyPlane fits a plane by least squares to what lies near the median, then again and again
// without what stands off, and returns the robust standard deviation of what is left. Up to a
// third may be something else, such as fingers.
func steadyPlane(x, y, z []float64) (p lightPlane, left float64) {
	keep, off := make([]bool, len(z)), make([]float64, len(z))
	p.level = median(z)
	for range 5 {
		for i := range z {
			off[i] = math.Abs(z[i] - p.at(geometry.Pt(x[i], y[i])))
		}
		left = median(off) / 0.6745 // of a normal distribution, its standard deviation
		for i := range keep {
			keep[i] = off[i] <= 3*left+1e-9
		}
		p = planeOf(x, y, z, keep)
	}
	return p, left
}

func planeOf(x, y, z []float64, keep []bool) lightPlane {
	p := lightPlane{middle: geometry.Pt(meanOf(x, keep), meanOf(y, keep)), level: meanOf(z, keep)}
	var xx, yy, xy, xz, yz float64
	for i := range z {
		if keep[i] {
			dx, dy, dz := x[i]-p.middle.X, y[i]-p.middle.Y, z[i]-p.level
			xx, yy, xy, xz, yz = xx+dx*dx, yy+dy*dy, xy+dx*dy, xz+dx*dz, yz+dy*dz
		}
	}
	if det := xx*yy - xy*xy; det > 0 {
		p.gx, p.gy = (xz*yy-yz*xy)/det, (yz*xx-xz*xy)/det
	}
	return p
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
