package detect

import (
	"math"

	"stopledger/analyze/robust"
	"stopledger/decode/geometry"
)

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

// normalMAD is the median absolute deviation of a normal distribution of standard deviation 1.
const normalMAD = 0.6745

// trimmedPlane fits a plane by least squares to what lies near the median, then again and again
// without what stands off by so many standard deviations, and returns the standard deviation of what is
// left, from its median absolute deviation. Up to a third may be something else, such as fingers.
func trimmedPlane(x, y, z []float64, rounds int, sigmas float64) (p lightPlane, left float64) {
	keep, off := make([]bool, len(z)), make([]float64, len(z))
	p.level = robust.Median(z)
	for range rounds {
		for i := range z {
			off[i] = math.Abs(z[i] - p.at(geometry.Pt(x[i], y[i])))
		}
		left = robust.Median(off) / normalMAD
		for i := range keep {
			keep[i] = off[i] <= sigmas*left+1e-9
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
