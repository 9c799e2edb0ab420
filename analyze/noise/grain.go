package noise

import (
	"math"

	"stopledger/analyze/cells"
	"stopledger/analyze/robust"
)

// grain is how noise hangs together from sample to sample.
type grain struct {
	length  float64 // equivalent side of a grain in samples; 1 for white noise, NaN
	squares float64 // sum of squared autocorrelations: how many samples count as one, at least 1
	coarse  float64 // 4 x variance of 2x2 means / variance: 1 for white noise, more where the finest is missing, NaN
	kept    float64 // share of the variance that a cell keeps less its mean and tilt, freedom counted
}

// whiteGrain is of noise without correlation.
var whiteGrain = grain{length: math.NaN(), squares: 1, coarse: math.NaN(), kept: 1}

// leastKept bounds the correction for what cells lose: grains over about three samples are not
// noise of a sensor, and reach further than they are followed.
const leastKept = 0.85

// grainOf takes the median of the covariances over cells that hold still. An edge that moves
// through a cell by so little that it passes for noise hangs together over the cell's whole side.
func grainOf(still []detailCell) grain {
	if len(still) == 0 {
		return whiteGrain
	}
	var across, down covariances
	ratios := make([]float64, len(still))
	for i := range lags {
		for j, c := range still {
			ratios[j] = c.across[i] / c.variance
		}
		across[i] = robust.Median(ratios)
		for j, c := range still {
			ratios[j] = c.down[i] / c.variance
		}
		down[i] = robust.Median(ratios)
	}
	return grainFrom([2]covariances{across, down})
}

// grainFrom works out the autocorrelations, across and down, from a cell's covariances relative
// to its variance. Taking the mean and the tilt out of a cell takes as much out of every
// covariance, and takes more the further the correlation reaches, so that both are found in turns.
func grainFrom(covariance [2]covariances) grain {
	var rho [2]covariances
	g := grain{squares: 1, kept: 1}
	for range 10 {
		mean, tilt := weighted(rho, 1), weighted(rho, 3)
		taken := [2]float64{tilt[0] * mean[1], mean[0] * tilt[1]} // by the tilt across and down
		level := mean[0] * mean[1]
		g.kept = max((cells.Area-level-taken[0]-taken[1])/cells.Freedom, leastKept)
		for axis := range rho {
			for i := range lags {
				lag := float64(i + 1)
				along := (cells.Size - 3*lag) / (cells.Size - lag)
				loss := level + taken[axis]*along + taken[1-axis]
				rho[axis][i] = covariance[axis][i]*g.kept + loss/cells.Area
			}
		}
	}
	length := 1.0
	for _, axis := range rho {
		sum, square := 1.0, 1.0
		for _, r := range axis {
			sum += 2 * r
			square += 2 * r * r
		}
		length *= max(sum, 0.1)
		g.squares *= square
	}
	g.length = math.Sqrt(length)
	g.coarse = (1 + rho[0][0]) * (1 + rho[1][0])
	return g
}

// weighted sums the autocorrelations along each axis as a cell's mean (crossings 1) or its tilt
// (3) takes them up: of two samples a lag apart, so many more lie across the cell's edge, or on
// either side of its middle, the longer the lag.
func weighted(rho [2]covariances, crossings float64) (sums [2]float64) {
	for axis := range rho {
		sums[axis] = 1
		for i, r := range rho[axis] {
			sums[axis] += 2 * r * (cells.Size - crossings*float64(i+1)) / cells.Size
		}
	}
	return sums
}

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
	pairs   int     // of frames in all, so often a cell is counted
	overlap float64 // errors are larger by this than if pairs of frames shared none
	grain   grain
}
