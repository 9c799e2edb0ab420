package pyramid

import (
	"math"

	"stopledger/analyze/robust"
	"stopledger/decode/geometry"
)

// A Plane is a value that changes evenly over a level.
type Plane struct {
	Middle geometry.Point // where the value is Level
	Level  float64        // the value there
	GX, GY float64        // change a pixel
}

// At returns the value at a place.
func (p Plane) At(q geometry.Point) float64 {
	d := q.Sub(p.Middle)
	return p.Level + p.GX*d.X + p.GY*d.Y
}

// Times returns the plane over pixels k times as large.
func (p Plane) Times(k float64) Plane {
	return Plane{p.Middle.Scale(1 / k), p.Level, p.GX * k, p.GY * k}
}

// NormalMAD is the median absolute deviation of a normal distribution of standard deviation 1: its
// 75 % point (P. J. Rousseeuw, C. Croux, "Alternatives to the median absolute deviation", Journal of
// the American Statistical Association 88, 1993, from memory).
const NormalMAD = 0.6745

// FitPlane fits a plane by least squares to what lies near the median, then again and again
// without what stands off by so many standard deviations, and returns the standard deviation of what is
// left, from its median absolute deviation. Up to a third may be something else, such as fingers.
func FitPlane(x, y, z []float64, rounds int, sigmas float64) (p Plane, left float64) {
	keep, off := make([]bool, len(z)), make([]float64, len(z))
	p.Level = robust.Median(z)
	for range rounds {
		for i := range z {
			off[i] = math.Abs(z[i] - p.At(geometry.Pt(x[i], y[i])))
		}
		left = robust.Median(off) / NormalMAD
		for i := range keep {
			keep[i] = off[i] <= sigmas*left+1e-9
		}
		p = planeOf(x, y, z, keep)
	}
	return p, left
}

func planeOf(x, y, z []float64, keep []bool) Plane {
	p := Plane{Middle: geometry.Pt(meanOf(x, keep), meanOf(y, keep)), Level: meanOf(z, keep)}
	var xx, yy, xy, xz, yz float64
	for i := range z {
		if keep[i] {
			dx, dy, dz := x[i]-p.Middle.X, y[i]-p.Middle.Y, z[i]-p.Level
			xx, yy, xy, xz, yz = xx+dx*dx, yy+dy*dy, xy+dx*dy, xz+dx*dz, yz+dy*dz
		}
	}
	if det := xx*yy - xy*xy; det > 0 {
		p.GX, p.GY = (xz*yy-yz*xy)/det, (yz*xx-xz*xy)/det
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
