package lut

import "stopledger/curve"

// A chain is shapes one after the other, itself a shape, in the order in which light is encoded.
type chain []curve.Shape

func (c chain) Encode(x float64) float64 {
	for _, s := range c {
		x = s.Encode(x)
	}
	return x
}

func (c chain) Decode(n float64) float64 {
	for i := len(c) - 1; i >= 0; i-- {
		n = c[i].Decode(n)
	}
	return n
}

func (c chain) Slope(n float64) float64 {
	slope := 1.0
	for i := len(c) - 1; i >= 0; i-- {
		slope *= c[i].Slope(n)
		n = c[i].Decode(n)
	}
	return slope
}
