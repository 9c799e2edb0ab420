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

// coarse holds the code of the least light of each range of float32 with the same upper bits; see Code.
var coarse = coarseCodes()

const coarseBits = 16 // of a float32 that are left out

func coarseCodes() (codes [1 << (31 - coarseBits)]uint8) {
	for i := range codes {
		least := math.Float32frombits(uint32(i) << coarseBits)
		codes[i] = uint8(sort.Search(whitest, func(k int) bool { return !(curve.Light(least) >= steps[k]) }))
	}
	return codes
}

// Code returns the 8-bit code, full range, that scene-linear light after the correction shows as:
// the display's signal x 255, rounded. Pictures hold such codes as they are, with no change of
// colour gamut. NaN shows as black.
func Code(l curve.Light) uint8 {
	if !(l > 0) {
		return 0
	}
	// The range's code is the light's, or one of a few below it; rounding to float32 may have taken the light up
	// into the next range.
	code := coarse[math.Float32bits(float32(l))>>coarseBits]
	for code > 0 && l < steps[code-1] {
		code--
	}
	for code < whitest && l >= steps[code] {
		code++
	}
	return code
}

// code32 is Code for a float32. A range of those holds one step at most: steps are 1.1 % apart at least, where
// the shoulder begins, and ranges are 1/128 wide.
func code32(l float32) uint8 {
	if !(l > 0) {
		return 0
	}
	code := coarse[math.Float32bits(l)>>coarseBits]
	if l >= steps32[code] {
		code++
	}
	return code
}

// steps32 holds the least float32 of each of steps; the last is never reached.
var steps32 = steps32OfCodes()

func steps32OfCodes() (least [whitest + 1]float32) {
	for i, step := range steps {
		if least[i] = float32(step); curve.Light(least[i]) < step {
			least[i] = math.Nextafter32(least[i], math.MaxFloat32)
		}
	}
	least[whitest] = float32(math.NaN())
	return least
}
