package curve

import "math"

// The shapes that one curve alone has, each as its source (see published) writes it.

func logC4() Shape {
	const b, c = (1023.0 - 95) / 1023, 95.0 / 1023
	a := (math.Exp2(18) - 16) / 117.45
	s := 7 * math.Ln2 * math.Exp2(7-14*c/b) / (a * b)
	t := (math.Exp2(6-14*c/b) - 64) / a
	return logWithToe{
		base: 2, gain: b / 14, in: a, lift: 64, offset: c - 6*b/14,
		join: t, toeGain: 1 / s, toeOffset: -t / s,
	}.shape()
}

// appleLog has a square toe that ends at R0, below zero light, where its signal is 0.
func appleLog() Shape {
	const (
		r0, rt             = -0.05641088, 0.01
		c                  = 47.28711236
		beta, gamma, delta = 0.00964052, 0.08550479, 0.69336945
	)
	return join(hold{r0, 0},
		span{fromX: r0, Shape: power{c, 1, -r0, 2, 0}},
		span{fromX: rt, Shape: logarithm{2, gamma, 1, beta, delta}})
}

// hlg is the OETF of BT.2100 over E in 0..1; light below zero mirrors.
func hlg() Shape {
	const a, b = 0.17883277, 1 - 4*0.17883277
	c := 0.5 - a*math.Log(4*a)
	return join(power{1, 3, 0, 0.5, 0},
		span{fromX: 1.0 / 12, Shape: logarithm{math.E, a, 12, -b, c}})
}

// hlgWhite is E of a 100 % reflector: reference white stands at 75 % (Report ITU-R BT.2408,
// from memory).
var hlgWhite = hlg().Decode(0.75)

// pqGrey is the luminance at which 18 % grey is taken to be shown, in cd/m2.
const pqGrey = 26.0

// cineon ends at code 0: x counts from the 90 % white card.
func cineon() Shape {
	black := math.Pow(10, (95.0-685)/300)
	log := logarithm{10, 300.0 / 1023, 1 - black, black, 685.0 / 1023}
	return join(hold{log.Decode(0), 0}, span{fromX: log.Decode(0), Shape: log})
}

// halfMax is the largest half-float, where the ACES encodings end.
const halfMax = 65504

func acesCode(linear float64) float64 { return (math.Log2(linear) + 9.72) / 17.52 }

// acesCC records no light below zero.
func acesCC() Shape {
	below := logarithm{2, 1 / 17.52, 0.5, math.Exp2(-16), 9.72 / 17.52}
	return join(hold{0, below.Encode(0)},
		span{fromX: 0, Shape: below},
		span{fromX: math.Exp2(-15), Shape: logarithm{2, 1 / 17.52, 1, 0, 9.72 / 17.52}},
		span{fromX: halfMax, Shape: hold{halfMax, acesCode(halfMax)}})
}
