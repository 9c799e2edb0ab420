package lut

import (
	"errors"
	"fmt"

	"stopledger/curve"
)

// A direction says which way a table in a file goes.
type direction int

const (
	fromLinear direction = iota // light in, n out
	toLinear                    // n in, light out
)

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
	return 0, errors.New("is nearly straight, so it cannot be told which side is light: " +
		"write it as two columns, linear and n")
}

// evenly returns n numbers from low to high at equal distances.
func evenly(low, high float64, n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = low + (high-low)*float64(i)/float64(n-1)
	}
	return v
}

// tableShape returns the shape of a table in a file, its input evenly from low to high, and the n
// it ends at.
func tableShape(low, high float64, out []float64, way direction) (s curve.Shape, top float64, err error) {
	xs, ns := evenly(low, high, len(out)), out
	if way == toLinear {
		xs, ns = ns, xs
	}
	s, err = curve.Points(xs, ns)
	return s, ns[len(ns)-1], err
}

// bentCurve is the curve of a table of size entries whose bend says which way it goes.
func bentCurve(low, high float64, size int, out []float64) (*curve.Curve, error) {
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
	s, top, err := tableShape(low, high, out, way)
	if err != nil {
		return nil, err
	}
	return curve.New(s, top), nil
}
