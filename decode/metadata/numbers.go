package metadata

import (
	"encoding/binary"
	"math"

	"stopledger/curve"
)

// irisStop returns the F- or T-number of an iris item: 2^(8(1 - v/65536)), so that 8000h is 16
// and 1000h is one stop (SMPTE metadata registers, iris F-number). 0 is taken as not said:
// F256 is no lens (common practice, no source).
func irisStop(v uint16) *Setting {
	if v == 0 {
		return nil
	}
	return number(Setting(math.Exp2(8 * (1 - float64(v)/65536))))
}

// decimalHalf returns the value of the registers' 16-bit decimal: four bits of signed exponent of
// ten over twelve bits of unsigned mantissa. It is not an IEEE half.
func decimalHalf(v uint16) float64 {
	exponent := int(int16(v)) >> 12
	return float64(v&0x0FFF) * math.Pow10(exponent)
}

// ieeeHalf returns the value of an IEEE 754 binary16.
func ieeeHalf(v uint16) float64 {
	sign := 1.0
	if v&0x8000 != 0 {
		sign = -1
	}
	exponent, fraction := int(v>>10&31), float64(v&0x3FF)
	switch exponent {
	case 0:
		return sign * math.Ldexp(fraction, -24)
	case 31:
		if fraction != 0 {
			return math.NaN()
		}
		return math.Inf(int(sign))
	}
	return sign * math.Ldexp(1024+fraction, exponent-25)
}

// rational returns the value of two u32; it is not finite where the second is zero.
func rational(p []byte) float64 {
	return float64(binary.BigEndian.Uint32(p)) / float64(binary.BigEndian.Uint32(p[4:]))
}

// ndStops returns the stops a filter takes that transmits 1/n of the light: log2 n.
func ndStops(n float64) *curve.Stops {
	if n < 1 {
		return nil
	}
	return number(curve.Stops(math.Log2(n)))
}

// colourDecisions reads item 8117: a count of 10, a size of 2, then IEEE halves: slope, offset and
// power of R, G, B, and saturation (ASC CDL v1.2).
func colourDecisions(p []byte) *CDL {
	const values, each = 10, 2
	if len(p) < 8+values*each || binary.BigEndian.Uint32(p) != values || binary.BigEndian.Uint32(p[4:]) != each {
		return nil
	}
	var v [values]Setting
	for i := range v {
		v[i] = Setting(ieeeHalf(binary.BigEndian.Uint16(p[8+each*i:])))
		if number(v[i]) == nil {
			return nil
		}
	}
	return &CDL{[3]Setting(v[0:3]), [3]Setting(v[3:6]), [3]Setting(v[6:9]), v[9]}
}
