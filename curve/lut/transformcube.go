package lut

import (
	"errors"
	"fmt"
	"math"
)

// cubeSteps reads a cube file as a transform: a one-dimensional table (LUT_1D_SIZE), a
// three-dimensional one (LUT_3D_SIZE, red fastest), or the first in front of the second. Inputs are
// DOMAIN_MIN to DOMAIN_MAX of each channel or LUT_1D_INPUT_RANGE and LUT_3D_INPUT_RANGE, and 0..1
// where nothing is said. Between points of a three-dimensional table it is tetrahedral.
func cubeSteps(data []byte) ([]step, error) {
	var head cubeHead
	var first [3][]float64
	var points []float32
	err := eachLine(data, func(fields []string) error {
		taken, err := head.take(fields)
		if taken || err != nil {
			return err
		}
		rgb, err := head.entry(fields)
		switch {
		case err != nil:
		case len(first[0]) < head.size1:
			for c, v := range rgb {
				first[c] = append(first[c], v)
			}
		case len(points) < 3*head.points():
			if points == nil {
				points = make([]float32, 0, 3*head.points())
			}
			points, err = appendPoint(points, rgb)
		default:
			err = fmt.Errorf("is one entry more than the %d that its sizes make", head.size1+head.points())
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	if have, says := len(first[0])+len(points)/3, head.size1+head.points(); have != says || says == 0 {
		return nil, fmt.Errorf("has %d entries where its sizes make %d", have, says)
	}
	return head.steps(first, points)
}

// points is how many the three-dimensional table has.
func (h *cubeHead) points() int { return h.edge * h.edge * h.edge }

// entry reads a line that is no keyword.
func (h *cubeHead) entry(fields []string) (rgb []float64, err error) {
	rgb, err = numbers(fields)
	switch {
	case err != nil:
		return nil, fmt.Errorf("%.30q is neither three numbers nor a keyword that is known", fields[0])
	case len(rgb) != 3:
		return nil, fmt.Errorf("an entry has 3 numbers, not %d", len(rgb))
	case h.size1 == 0 && h.edge == 0:
		return nil, errors.New("is an entry before the size (LUT_1D_SIZE or LUT_3D_SIZE)")
	}
	return rgb, nil
}

func appendPoint(points []float32, rgb []float64) ([]float32, error) {
	for _, v := range rgb {
		if math.Abs(v) > math.MaxFloat32 {
			return nil, fmt.Errorf("%g is too large", v)
		}
		points = append(points, float32(v))
	}
	return points, nil
}

// steps puts the tables behind one another.
func (h *cubeHead) steps(first [3][]float64, points []float32) (all []step, err error) {
	both := h.size1 > 0 && h.edge > 0
	if both && (h.low != nil || h.high != nil) {
		return nil, errors.New("has two tables and DOMAIN_MIN or DOMAIN_MAX: say which one's input it is, " +
			"with LUT_1D_INPUT_RANGE and LUT_3D_INPUT_RANGE")
	}
	if h.size1 > 0 {
		in, err := h.inputs(h.range1, h.size1)
		if err != nil {
			return nil, fmt.Errorf("LUT_1D_SIZE: %w", err)
		}
		all = append(all, &lookup{in, first})
	}
	if h.edge > 0 {
		in, err := h.inputs(h.range3, h.edge)
		if err != nil {
			return nil, fmt.Errorf("LUT_3D_SIZE: %w", err)
		}
		all = append(all, &lattice{evenInputs: in, values: points})
	}
	return all, nil
}

// inputs returns those of a table of n entries, over its own range where it has one.
func (h *cubeHead) inputs(own []float64, n int) (evenInputs, error) {
	low, high := [3]float64{}, [3]float64{1, 1, 1}
	if own != nil {
		for c := range 3 {
			low[c], high[c] = own[0], own[1]
		}
	}
	for _, said := range []struct {
		name string
		v    []float64
		to   *[3]float64
	}{{"DOMAIN_MIN", h.low, &low}, {"DOMAIN_MAX", h.high, &high}} {
		switch {
		case said.v == nil:
		case len(said.v) != 3:
			return evenInputs{}, fmt.Errorf("%s takes three numbers", said.name)
		default:
			copy(said.to[:], said.v)
		}
	}
	return inputs(low, high, n)
}
