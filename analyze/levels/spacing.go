package levels

import (
	"math"

	"stopledger/analyze/limit"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// Codes on the 10-bit scale. Common practice, no source.
const (
	// underNarrow: a mean level under it lies below narrow range, whose black is 64.
	underNarrow curve.Code = 40
	// underBlack is how far under the curve's black a mean level counts as below it.
	underBlack curve.Code = 12
)

// shareAbove returns the share of samples above a code.
func shareAbove(histogram []uint64, top curve.FileCode) float64 {
	var above, all float64
	for code, n := range histogram {
		all += float64(n)
		if curve.FileCode(code) > top {
			above += float64(n)
		}
	}
	return above / all
}

// spacing counts the codes in use, and those from the lowest to the highest in use, and tells
// whether those used form a comb.
func spacing(histogram []uint64) (used, span int, comb bool) {
	last := -1
	var gaps []float64
	for code, n := range histogram {
		if n == 0 {
			continue
		}
		if last >= 0 {
			gaps = append(gaps, float64(code-last))
			span += code - last
		}
		last = code
		used++
	}
	if used > 0 {
		span++
	}
	return used, span, combed(gaps)
}

// combed tells whether the codes used stand at even distances, as padded or multiplied samples of
// fewer bits do, rather than in a few flat patches.
func combed(gaps []float64) bool {
	if len(gaps) < limit.LeastSpan/4 {
		return false
	}
	usual, even := robust.Median(gaps), 0
	for _, gap := range gaps {
		// Multiplied by 1023/255, every 85th step is longer by one.
		if math.Abs(gap-usual) <= 1 {
			even++
		}
	}
	return usual > 2 && even >= len(gaps)*3/4
}
