package noise

import "math"

// pairFreedom returns the degrees of freedom that n overlapping pairs of frames give per sample:
// neighbouring differences share a frame, which costs a third (2n^2/(3n-1); worked and simulated
// in testdata/noise.md).
func pairFreedom(pairs int) float64 {
	n := float64(pairs)
	return 2 * n * n / (3*n - 1)
}

// overlap returns by how much errors grow because n overlapping pairs of frames are worth less
// than as many separate ones.
func overlap(pairs int) float64 {
	if pairs == 0 {
		return 1
	}
	return math.Sqrt(float64(pairs) / pairFreedom(pairs))
}

// A worth says how many independent samples the cells are worth: their effective sample size.
type worth struct {
	overlap float64 // errors are larger by this than if pairs of frames shared none
	grain   grain
}
