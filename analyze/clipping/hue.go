package clipping

/*
#include "sums.h"
*/
import "C"

import "stopledger/curve"

// hues are the differences between channels, summed by the 10-bit code of the brightest.
type hues struct{ count, redGreen, greenBlue [C.HUES]float64 }

// add adds samples of R', G' and B' in file codes, of which so many make a code of the 10-bit scale.
func (h *hues) add(rgb [3][]float32, fileCodes float64) {
	if n := len(rgb[0]); n > 0 {
		C.add_hues((*C.float)(&rgb[0][0]), (*C.float)(&rgb[1][0]), (*C.float)(&rgb[2][0]), C.int(n), C.float(1/fileCodes),
			(*C.double)(&h.count[0]), (*C.double)(&h.redGreen[0]), (*C.double)(&h.greenBlue[0]))
	}
}

// merge adds others.
func (h *hues) merge(other *hues) {
	for i := range h.count {
		h.count[i] += other.count[i]
		h.redGreen[i] += other.redGreen[i]
		h.greenBlue[i] += other.greenBlue[i]
	}
}

// between returns the mean codes between two channels in light from nearBelow to farBelow codes
// below a code, 0 where there is hardly any.
func (h *hues) between(a, b int, code curve.Code) curve.Code {
	const nearBelow, farBelow, few = 12, 120, 4
	var n, sum float64
	for at := max(int(code)-farBelow, 0); at < min(int(code)-nearBelow, len(h.count)); at++ {
		n += h.count[at]
		if min(a, b) == 0 {
			sum += h.redGreen[at]
		}
		if max(a, b) == 2 {
			sum += h.greenBlue[at]
		}
	}
	if n < few {
		return 0
	}
	return curve.Code(sum / n)
}
