package robust

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// HalfInterval returns half the 95 % interval of a mean: t s / sqrt(n), Student's t with n-1 degrees of
// freedom (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2). It is NaN for fewer than two values,
// or where one of them is.
func HalfInterval(values []float64) float64 {
	n := float64(len(values))
	if n < 2 {
		return math.NaN()
	}
	t := distuv.StudentsT{Sigma: 1, Nu: n - 1}.Quantile(0.975)
	return stat.StdDev(values, nil) / math.Sqrt(n) * t
}
