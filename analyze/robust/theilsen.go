package robust

// TheilSen fits a straight line y = offset + slope x: the slope is the median of the slopes
// between all pairs of points that stand at least apart places from each other in the list, the
// offset the median of y - slope x (P. K. Sen, "Estimates of the regression coefficient based on
// Kendall's tau", Journal of the American Statistical Association 63 (1968); H. Theil 1950). It is
// unbiased for symmetric errors and holds with up to 29 % of the points elsewhere. Pairs apart 1
// are all of them; neighbours left out, slopes scatter less. Without such a pair the slope is 0.
// No two x of a pair may be the same.
func TheilSen(x, y []float64, apart int) (slope, offset float64) {
	var slopes []float64
	for i := range x {
		for j := i + apart; j < len(x); j++ {
			slopes = append(slopes, (y[j]-y[i])/(x[j]-x[i]))
		}
	}
	if len(slopes) > 0 {
		slope = Median(slopes)
	}
	left := make([]float64, len(x))
	for i := range x {
		left[i] = y[i] - slope*x[i]
	}
	return slope, Median(left)
}
