package levels

import (
	"math"

	"stopledger/curve"
)

// The histogram's bins: quarter stops from ten stops under nominal grey to ten over.
const (
	firstBin curve.Stops = -10
	binStep  curve.Stops = 0.25
	bins                 = 80
)

// darkestPercentile bounds the percentiles of a scene, in recorded stops.
const darkestPercentile curve.Stops = -10

// logAverage returns the mean recorded stops of a histogram, bounded below at Darkest.
func logAverage(histogram []uint64, table *curve.Table) curve.Stops {
	var sum, n float64
	for code, count := range histogram {
		if count > 0 {
			sum += float64(count) * float64(max(table.Stops[code], Darkest))
			n += float64(count)
		}
	}
	return curve.Stops(sum / n)
}

// sceneOf returns log-average and percentiles of a histogram: the lowest code up to which a share
// of all samples lies.
func sceneOf(histogram []uint64, table *curve.Table) Scene {
	var total uint64
	for _, n := range histogram {
		total += n
	}
	percentile := func(p float64) curve.Stops {
		var sum float64
		for code, n := range histogram {
			if sum += float64(n); sum >= p*float64(total) {
				return max(table.Stops[code], darkestPercentile)
			}
		}
		return curve.Unknown[curve.Stops]()
	}
	return Scene{Average: logAverage(histogram, table), P1: percentile(0.01), P10: percentile(0.1),
		P50: percentile(0.5), P90: percentile(0.9), P99: percentile(0.99)}
}

// histogramOf returns a histogram by file code as one by recorded stops.
func histogramOf(codes []uint64, r curve.Reading) Histogram {
	h := Histogram{First: firstBin, Step: binStep, Shares: make([]curve.Share, bins)}
	var total float64
	for code, count := range codes {
		if count > 0 {
			total += float64(count)
			h.spread(r, curve.FileCode(code), float64(count))
		}
	}
	for i := range h.Shares {
		h.Shares[i] /= curve.Share(total)
	}
	h.Below /= curve.Share(total)
	return h
}

// spread shares a code's count out over the stops between code - 1/2 and code + 1/2, so that
// near black, where one code spans several bins, no bin stays empty by rounding.
func (h *Histogram) spread(r curve.Reading, code curve.FileCode, count float64) {
	const parts = 8
	for i := range parts {
		stops := r.Stops(code + curve.FileCode((float64(i)+0.5)/parts-0.5))
		bin := math.Floor(float64((stops - h.First) / h.Step))
		if bin < 0 {
			h.Below += curve.Share(count / parts)
		} else {
			h.Shares[int(min(bin, float64(len(h.Shares)-1)))] += curve.Share(count / parts)
		}
	}
}
