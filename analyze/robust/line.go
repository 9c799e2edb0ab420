package robust

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// A Line is y = Offset + Slope x.
type Line struct {
	Offset      float64 // in y's unit
	Slope       float64 // in y's unit for one of x
	OffsetError float64 // one standard error of Offset
	SlopeError  float64 // one standard error of Slope
	Covariance  float64 // of Offset and Slope
}

// worstCondition is the condition number of the normal equations above which the points do not
// tell two parameters.
const worstCondition = 1e12

// FitLine fits a straight line by weighted least squares: it solves the normal equations
// (A' W A) p = A' W y with rows (1, x) by Cholesky's decomposition (NIST/SEMATECH e-Handbook of
// Statistical Methods, 4.4.3.2). Where a weight is 1 / the variance of its y, the errors are the
// roots of the diagonal of (A' W A)^-1; otherwise they stand in the weights' unit. The fit is
// unbiased and has no guard of its own against outliers. It is false where the points do not tell
// two parameters, as where fewer than two differ in x.
func FitLine(x, y, weight []float64) (Line, bool) {
	normal := mat.NewSymDense(2, nil)
	right := mat.NewVecDense(2, nil)
	for i, w := range weight {
		row := [2]float64{1, x[i]}
		for a := range 2 {
			for b := a; b < 2; b++ {
				normal.SetSym(a, b, normal.At(a, b)+w*row[a]*row[b])
			}
			right.SetVec(a, right.AtVec(a)+w*row[a]*y[i])
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(normal) || chol.Cond() > worstCondition {
		return Line{}, false
	}
	var p mat.VecDense
	var covariance mat.SymDense
	if chol.SolveVecTo(&p, right) != nil || chol.InverseTo(&covariance) != nil {
		return Line{}, false
	}
	return Line{p.AtVec(0), p.AtVec(1), math.Sqrt(covariance.At(0, 0)), math.Sqrt(covariance.At(1, 1)),
		covariance.At(0, 1)}, true
}
