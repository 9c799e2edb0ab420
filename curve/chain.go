package curve

// A chain is shapes one after the other, in the order in which light is encoded.
type chain []shape

func (c chain) encode(x float64) float64 {
	for _, s := range c {
		x = s.encode(x)
	}
	return x
}

func (c chain) decode(n float64) float64 {
	for i := len(c) - 1; i >= 0; i-- {
		n = c[i].decode(n)
	}
	return n
}

func (c chain) slope(n float64) float64 {
	slope := 1.0
	for i := len(c) - 1; i >= 0; i-- {
		slope *= c[i].slope(n)
		n = c[i].decode(n)
	}
	return slope
}
