package display

import (
	"math"
	"sort"

	"stopledger/curve"
)

// whitest is the 8-bit code of the display's white.
const whitest = 255

// steps holds, for each 8-bit code but 0, the least scene-linear light that shows as that code:
// where the signal is half a code below it.
var steps = stepsOfCodes()

func stepsOfCodes() (least [whitest]curve.Light) {
	for i := range least {
		signal := (float64(i) + 0.5) / whitest
		least[i] = Light(math.Pow(signal, gamma)).Scene()
	}
	return least
}

// Code returns the 8-bit code, full range, that scene-linear light after the correction shows as:
// the display's signal x 255, rounded. Pictures hold such codes as they are, with no change of
// colour gamut. NaN shows as black.
func Code(l curve.Light) uint8 {
	return uint8(sort.Search(whitest, func(i int) bool { return !(l >= steps[i]) }))
}
