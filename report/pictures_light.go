package report

import (
	"math"

	"stopledger/analyze"
)

// nominalGrey is the scene-linear light of nominal mid grey in a still.
const nominalGrey = 0.18

// lumaWeights returns how much R, G and B count in luma: Recommendations ITU-R BT.601-7
// section 2.5.1, BT.709-6 item 3.2 and BT.2020-2 table 4. A matrix it does not know counts as
// BT.709; for neutral tones all are the same.
func lumaWeights(matrix string) (r, g, b float32) {
	switch matrix {
	case "bt601":
		return 0.299, 0.587, 0.114
	case "bt2020":
		return 0.2627, 0.6780, 0.0593
	}
	return 0.2126, 0.7152, 0.0722
}

// stopsOf returns the recorded stops of every pixel of a still: log2 of its weighted light over
// nominal grey, -Inf where there is no light.
func stopsOf(s *analyze.Still, matrix string) []float64 {
	kr, kg, kb := lumaWeights(matrix)
	out := make([]float64, len(s.R))
	for i := range out {
		light := float64(kr*s.R[i] + kg*s.G[i] + kb*s.B[i])
		if !(light > 0) {
			out[i] = math.Inf(-1)
			continue
		}
		out[i] = math.Log2(light / nominalGrey)
	}
	return out
}
