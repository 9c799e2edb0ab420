package robust

import (
	"cmp"
	"math"
	"slices"
)

// Median returns the middle value, the mean of the two middle ones where their number is even,
// NaN for none: the quantile 0.5 of Hyndman and Fan, "Sample quantiles in statistical packages",
// The American Statistician 50 (1996), definition 7. It is unbiased for symmetric distributions;
// its standard error is 1.25 times the mean's for normal ones.
func Median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s, k := slices.Clone(v), len(v)/2
	find(s, k)
	upper, lower := s[k], s[k]
	if len(s)%2 == 0 {
		lower = slices.MaxFunc(s[:k], cmp.Compare[float64])
	}
	return (lower + upper) / 2
}

// mostFinds is how many turns of find are tried before a part that does not get shorter is sorted.
const mostFinds = 64

// find puts the value there that has the place k in ascending order, NaN first, and no greater one before it
// (C. A. R. Hoare, "Algorithm 65: find", Communications of the ACM 4 (1961), from memory).
func find(s []float64, k int) {
	low, high := 0, len(s)-1
	for turn := 0; low < high; turn++ {
		if turn == mostFinds {
			slices.Sort(s[low : high+1])
			return
		}
		i, j, pivot := low, high, s[low+(high-low)/2]
		for i <= j {
			for cmp.Less(s[i], pivot) {
				i++
			}
			for cmp.Less(pivot, s[j]) {
				j--
			}
			if i <= j {
				s[i], s[j] = s[j], s[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return
		}
	}
}

// Quantile returns the p quantile, p in 0..1, of values in ascending order, NaN for none: the value
// at the place p (n - 1) counted from 0, on the straight line between two values (Hyndman and Fan
// 1996, definition 7). gonum's stat.Quantile with LinInterp is their definition 4, which takes the
// place p n - 1 and so lies lower by up to a whole place.
func Quantile(sorted []float64, p float64) float64 {
	if len(sorted) == 0 {
		return math.NaN()
	}
	at := p * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
