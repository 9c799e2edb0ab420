package clipping

import "stopledger/curve"

// hues are the differences between channels, summed by the 10-bit code of the brightest.
type hues struct{ count, redGreen, greenBlue [1024]float64 }

// add adds one row of R', G' and B' in file codes, of which so many make a code of the 10-bit scale.
func (h *hues) add(rgb [3][]float32, fileCodes float64) {
	toCode := float32(1 / fileCodes)
	for x, red := range rgb[0] {
		green, blue := rgb[1][x], rgb[2][x]
		at := min(max(int(max(red, green, blue)*toCode), 0), len(h.count)-1)
		h.count[at]++
		h.redGreen[at] += float64((red - green) * toCode)
		h.greenBlue[at] += float64((green - blue) * toCode)
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
