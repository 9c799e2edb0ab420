package lut

import (
	"errors"
	"math"
)

// halfs is how many half-floats there are (IEEE 754 binary16).
const halfs = 1 << 16

// mostHalf is the largest half-float, and its bits.
const (
	mostHalf     = 65504
	mostHalfBits = 0x7bff
	halfSign     = 0x8000
)

// halfValue returns the value of a half-float's bits.
func halfValue(bits uint16) float64 {
	mantissa, exponent := float64(bits&0x3ff), int(bits>>10&0x1f)
	v := math.Ldexp(mantissa, -24)
	switch {
	case exponent == 0x1f && mantissa > 0:
		v = math.NaN()
	case exponent == 0x1f:
		v = math.Inf(1)
	case exponent > 0:
		v = math.Ldexp(1024+mantissa, exponent-25)
	}
	if bits&halfSign != 0 {
		v = -v
	}
	return v
}

// halfBelow returns the bits of the half-float nearest to x towards zero, and how far on the way to
// the next away from zero x lies, 0..1. What is not a number is taken for zero.
func halfBelow(x float64) (bits uint16, on float64) {
	v := math.Abs(x)
	switch {
	case v >= mostHalf:
		bits = mostHalfBits
	case v >= 0x1p-14:
		fraction, exponent := math.Frexp(v) // 0.5..1
		steps := (2*fraction - 1) * 1024
		bits = uint16(exponent+14)<<10 + uint16(steps)
		on = steps - math.Floor(steps)
	case v > 0:
		steps := v * 0x1p24
		bits = uint16(steps)
		on = steps - math.Floor(steps)
	}
	if x < 0 {
		bits |= halfSign
	}
	return bits, on
}

// A halfLookup is a table with an entry for each half-float in each channel, straight between them.
type halfLookup struct{ entries [3][]float64 }

func (l *halfLookup) apply(rgb *[3]float64) {
	for c, x := range rgb {
		bits, on := halfBelow(x)
		rgb[c] = l.entries[c][bits]
		if on > 0 {
			rgb[c] += on * (l.entries[c][bits+1] - rgb[c])
		}
	}
}

// fromRawHalfs turns bits of half-floats into their values.
func fromRawHalfs(v []float64) error {
	for i, bits := range v {
		if bits < 0 || bits >= halfs || bits != math.Floor(bits) {
			return errors.New("has raw half-floats that are not whole numbers from 0 to 65535")
		}
		v[i] = halfValue(uint16(bits))
	}
	return nil
}
