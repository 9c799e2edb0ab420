package curve

import (
	"errors"
	"fmt"
	"math"
)

// A direction says which way a table in a file goes.
type direction int

const (
	fromLinear direction = iota // light in, n out
	toLinear                    // n in, light out
)

// tabled returns the shape of points (light, n) in increasing order. Where one column is flat
// at an end the curve holds; anywhere else it must rise.
func tabled(xs, ns []float64) (shape, error) {
	for i := range xs {
		if math.IsNaN(xs[i]+ns[i]) || math.IsInf(xs[i]+ns[i], 0) {
			return nil, fmt.Errorf("entry %d is not a number", i+1)
		}
	}
	rises := func(i int) bool { return xs[i+1] > xs[i] && ns[i+1] > ns[i] }
	flat := func(i int) bool {
		return xs[i+1] == xs[i] && ns[i+1] >= ns[i] || xs[i+1] >= xs[i] && ns[i+1] == ns[i]
	}
	first, last := 0, len(xs)-1
	for first < last && flat(first) {
		first++
	}
	for last > first && flat(last-1) {
		last--
	}
	if first >= last {
		return nil, errors.New("its entries do not rise: a curve needs two or more that do")
	}
	for i := first; i < last; i++ {
		if !rises(i) {
			return nil, fmt.Errorf("entry %d does not lie above entry %d: a curve must increase", i+2, i+1)
		}
	}
	points := table{xs[first : last+1], ns[first : last+1]}
	var s shape = points
	if first > 0 {
		s = join(hold{xs[first], ns[first]}, span{fromX: xs[first], shape: points})
	}
	if last < len(xs)-1 {
		s = join(s, span{fromX: xs[last], shape: hold{xs[last], ns[last]}})
	}
	return s, nil
}

// bend tells a table's direction from its shape: light piles up at the low end of a table
// to linear, and n at the high end of one from linear. It is an error for a table that is
// nearly straight.
func bend(out []float64) (direction, error) {
	low, high := out[0], out[len(out)-1]
	mean := 0.0
	for _, v := range out {
		mean += (v - low) / (high - low) / float64(len(out))
	}
	const clear = 0.02 // gamma 1.2, milder than any curve in use, bends a mean by 0.05
	switch {
	case mean < 0.5-clear:
		return toLinear, nil
	case mean > 0.5+clear:
		return fromLinear, nil
	}
	return 0, errors.New("is nearly straight, so it cannot be told which side is light: write it as two columns, linear and n")
}

// evenly returns n numbers from low to high at equal distances.
func evenly(low, high float64, n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = low + (high-low)*float64(i)/float64(n-1)
	}
	return v
}

// tableCurve makes a curve of a table in a file, its input evenly from low to high.
func tableCurve(low, high float64, out []float64, way direction) (*Curve, error) {
	in := evenly(low, high, len(out))
	xs, ns := in, out
	if way == toLinear {
		xs, ns = out, in
	}
	s, err := tabled(xs, ns)
	if err != nil {
		return nil, err
	}
	return &Curve{Convention: VideoScaled, Top: ns[len(ns)-1], shape: s}, nil
}

// bentCurve is a tableCurve of size entries whose bend says which way it goes.
func bentCurve(low, high float64, size int, out []float64) (*Curve, error) {
	switch {
	case size == 0:
		return nil, errors.New("does not say how many entries it has (LUT_1D_SIZE in a cube, Length in spi1d)")
	case len(out) != size:
		return nil, fmt.Errorf("has %d entries where it says %d", len(out), size)
	case !(low < high):
		return nil, fmt.Errorf("its input goes from %g to %g: it must rise", low, high)
	}
	way, err := bend(out)
	if err != nil {
		return nil, err
	}
	return tableCurve(low, high, out, way)
}
