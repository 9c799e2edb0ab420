package curve

import "math"

// pq is the inverse EOTF of SMPTE ST 2084:2014: x is display luminance / 10000 cd/m2. Below
// black it holds; x rises without end towards n = (c2/c3)^m2, about 1.99.
type pq struct{}

const (
	pqM1 = 2610.0 / 16384
	pqM2 = 2523.0 / 32
	pqC1 = 3424.0 / 4096
	pqC2 = 2413.0 / 128
	pqC3 = 2392.0 / 128
)

func (pq) Encode(x float64) float64 {
	if x <= 0 {
		return math.Pow(pqC1, pqM2)
	}
	p := math.Pow(x, -pqM1) // finite forms for every x, +Inf included
	return math.Pow((pqC1*p+pqC2)/(p+pqC3), pqM2)
}

func (pq) Decode(n float64) float64 {
	if n <= math.Pow(pqC1, pqM2) {
		return 0
	}
	v := math.Pow(n, 1/pqM2)
	if v >= pqC2/pqC3 {
		return math.Inf(1)
	}
	return math.Pow((v-pqC1)/(pqC2-pqC3*v), 1/pqM1)
}

func (q pq) Slope(n float64) float64 {
	x := q.Decode(n)
	if x == 0 || math.IsInf(x, 1) {
		return 0
	}
	v := math.Pow(n, 1/pqM2)
	dv := v / (n * pqM2)
	below := pqC2 - pqC3*v
	// x = q^(1/m1), q = (v-c1)/(c2-c3 v)
	return x / pqM1 * below / (v - pqC1) * (pqC2 - pqC3*pqC1) / (below * below) * dv
}
