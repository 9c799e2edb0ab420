package curve

import (
	"errors"
	"fmt"
	"sort"
)

// A table is a curve of straight pieces through points, both columns strictly increasing.
// Beyond its ends it goes on as its first and last piece do: a table that is only looked up
// would clamp there, which would bias the mean of noise around black.
type table struct{ xs, ns []float64 }

func (t table) Encode(x float64) float64 {
	i := piece(t.xs, x)
	return between(x, t.xs[i], t.xs[i+1], t.ns[i], t.ns[i+1])
}

func (t table) Decode(n float64) float64 {
	i := piece(t.ns, n)
	return between(n, t.ns[i], t.ns[i+1], t.xs[i], t.xs[i+1])
}

func (t table) Slope(n float64) float64 {
	i := piece(t.ns, n)
	return (t.xs[i+1] - t.xs[i]) / (t.ns[i+1] - t.ns[i])
}

// Points returns straight pieces through points (light x, n) in increasing order, as many xs as
// ns. Where one column is flat at an end the curve holds there; anywhere else both must rise, or
// it is an error that names the first entry that does not.
func Points(xs, ns []float64) (Shape, error) {
	first, last, err := rising(xs, ns)
	if err != nil {
		return nil, err
	}
	points := table{xs[first : last+1], ns[first : last+1]}
	var s Shape = points
	if first > 0 {
		s = Join(hold{xs[first], ns[first]}, xs[first], points)
	}
	if last < len(xs)-1 {
		s = Join(s, xs[last], hold{xs[last], ns[last]})
	}
	return s, nil
}

// rising returns the first and last of the points that rise; those before and after are flat.
func rising(xs, ns []float64) (first, last int, err error) {
	if len(xs) != len(ns) {
		return 0, 0, fmt.Errorf("has %d entries of light and %d of n", len(xs), len(ns))
	}
	for i := range xs {
		if !Finite(xs[i] + ns[i]) {
			return 0, 0, fmt.Errorf("entry %d is not a number", i+1)
		}
	}
	flat := func(i int) bool {
		return xs[i+1] == xs[i] && ns[i+1] >= ns[i] || xs[i+1] >= xs[i] && ns[i+1] == ns[i]
	}
	first, last = 0, len(xs)-1
	for first < last && flat(first) {
		first++
	}
	for last > first && flat(last-1) {
		last--
	}
	if first >= last {
		return 0, 0, errors.New("its entries do not rise: a curve needs two or more that do")
	}
	for i := first; i < last; i++ {
		if !(xs[i+1] > xs[i] && ns[i+1] > ns[i]) {
			return 0, 0, fmt.Errorf("entry %d does not lie above entry %d: a curve must increase", i+2, i+1)
		}
	}
	return first, last, nil
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
