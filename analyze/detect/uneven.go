package detect

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"stopledger/analyze/robust"
	"stopledger/curve"
)

// unevenLight returns the stops by which the light changes from patch to patch across and down, 0
// where that cannot be told from even light.
//
// A camera's luminance is some mixture of a patch's tristimulus values, so over the patches that
// are not odd
//
//	measured / Y = a X/Y + b + c Z/Y + d ln Y + across u + down v
//
// is fitted by least squares, each divided by the published Y to weigh relative errors alike; d takes up a curve
// that is not quite the one named. The slope counts where it stands out of its error and would move a
// neutral.
func unevenLight(m curve.Matrix, p *[24]Patch, e Edition, odd [24]bool, limits *NeutralParams) (across, down float64) {
	var rows [][]float64
	var seen []float64
	for i := range p {
		if odd[i] || float64(p[i].Light.Clipped) > limits.MostClipped || !(float64(p[i].Measured) > limits.Darkest) {
			continue
		}
		xyz, rgb := e.xyz(i), p[i].Light.RGB
		u, v := float64(i%6)-2.5, float64(i/6)-1.5
		rows = append(rows, []float64{xyz[0] / xyz[1], 1, xyz[2] / xyz[1], math.Log(xyz[1]), u, v})
		seen = append(seen, (m.Kr*float64(rgb[0])+m.Kg()*float64(rgb[1])+m.Kb*float64(rgb[2]))/xyz[1])
	}
	if len(rows) < limits.UnevenPatches {
		return 0, 0
	}
	x, errors, ok := leastSquares(rows, seen)
	if !ok {
		return 0, 0
	}
	level := robust.Median(seen)
	sure := func(k int, steps float64) float64 {
		stops, err := x[k]/level/math.Ln2, errors[k]/level/math.Ln2
		if math.Abs(stops) < limits.UnevenErrors*err || math.Abs(stops)*steps < limits.LeastUneven {
			return 0
		}
		return stops
	}
	return sure(4, 5), sure(5, 3)
}

// leastSquares solves rows x = y by ordinary least squares and returns the standard errors of x from
// what is left: the roots of the diagonal of s^2 (A'A)^-1, s^2 being the squares left over the degrees
// of freedom (NIST/SEMATECH e-Handbook of Statistical Methods, 4.4.3, from memory).
func leastSquares(rows [][]float64, y []float64) (x, errors []float64, ok bool) {
	n := len(rows[0])
	a, b := mat.NewDense(len(rows), n, nil), mat.NewVecDense(len(rows), y)
	for i, r := range rows {
		a.SetRow(i, r)
	}
	var solved, left mat.VecDense
	var normal, inverse mat.Dense
	normal.Mul(a.T(), a)
	if solved.SolveVec(a, b) != nil || inverse.Inverse(&normal) != nil {
		return nil, nil, false
	}
	left.MulVec(a, &solved)
	left.SubVec(&left, b)
	variance := mat.Dot(&left, &left) / float64(len(rows)-n)
	for k := range n {
		x = append(x, solved.AtVec(k))
		errors = append(errors, math.Sqrt(variance*inverse.At(k, k)))
	}
	return x, errors, true
}
