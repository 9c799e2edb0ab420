package clipping

/*
#cgo CFLAGS: -O3 -std=c11
#include "sums.h"
*/
import "C"

import "stopledger/curve"

const (
	// perCode is the number of bins of a histogram to one code of the 10-bit scale.
	perCode = C.PER_CODE
	// overshoot is how many codes coding may throw samples above the ceiling.
	overshoot = 24
	// bins of a histogram. Mixing channels from filtered chroma throws samples beyond the last code.
	bins = (1024 + 2*overshoot) * perCode
)

// A histogram is a channel of pairs of frames, by bins of perCode to a code of the 10-bit scale.
type histogram struct {
	count []float64 // samples
	// Change is gathered by the mean of a pair, which does not depend on its difference: samples
	// that lie far out by chance change more than others.
	pairs  []float64
	change []float64 // squared difference of a pair, summed, (10-bit code)^2
}

func newHistogram() histogram {
	return histogram{make([]float64, bins), make([]float64, bins), make([]float64, bins)}
}

// compare adds samples of a channel and the same ones of the frame before, in file codes of which
// so many make a code of the 10-bit scale.
func (h *histogram) compare(row, before []float32, fileCodes float64) {
	if len(row) > 0 {
		C.compare((*C.float)(&row[0]), (*C.float)(&before[:len(row)][0]), C.int(len(row)), C.float(perCode/fileCodes), bins,
			(*C.double)(&h.count[0]), (*C.double)(&h.pairs[0]), (*C.double)(&h.change[0]))
	}
}

// merge adds another histogram.
func (h *histogram) merge(other *histogram) {
	for i := range h.count {
		h.count[i] += other.count[i]
		h.pairs[i] += other.pairs[i]
		h.change[i] += other.change[i]
	}
}

// without takes another histogram's samples, all of which were added to h, out again.
func (h *histogram) without(other *histogram) {
	for i := range h.count {
		h.count[i] -= other.count[i]
		h.pairs[i] -= other.pairs[i]
		h.change[i] = max(h.change[i]-other.change[i], 0)
	}
}

// window sums over at-half .. at+half, as far as there are bins.
func window(v []float64, at, half int) float64 {
	var sum float64
	for i := max(at-half, 0); i <= min(at+half, len(v)-1); i++ {
		sum += v[i]
	}
	return sum
}

// codeOf returns the code of a bin.
func codeOf(bin float64) curve.Code { return curve.Code(bin / perCode) }
