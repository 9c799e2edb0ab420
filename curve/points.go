package curve

import "sort"

// A table is a curve of straight pieces through points, both columns strictly increasing.
// Beyond its ends it goes on as its first and last piece do: a table that is only looked up
// would clamp there, which would bias the mean of noise around black.
type table struct{ xs, ns []float64 }

func (t table) encode(x float64) float64 {
	i := piece(t.xs, x)
	return between(x, t.xs[i], t.xs[i+1], t.ns[i], t.ns[i+1])
}

func (t table) decode(n float64) float64 {
	i := piece(t.ns, n)
	return between(n, t.ns[i], t.ns[i+1], t.xs[i], t.xs[i+1])
}

func (t table) slope(n float64) float64 {
	i := piece(t.ns, n)
	return (t.xs[i+1] - t.xs[i]) / (t.ns[i+1] - t.ns[i])
}

// piece returns i of the piece from at[i] to at[i+1] that serves v.
func piece(at []float64, v float64) int {
	i := sort.Search(len(at), func(i int) bool { return at[i] > v }) - 1
	return min(max(i, 0), len(at)-2)
}

// between maps v from a..b to c..d, giving d exactly at b.
func between(v, a, b, c, d float64) float64 {
	if v == b {
		return d
	}
	return c + (v-a)/(b-a)*(d-c)
}
