package lut

import (
	"errors"
	"fmt"

	"stopledger/curve"
)

// readCube reads a one-dimensional cube table: LUT_1D_SIZE, optional TITLE, DOMAIN_MIN and
// DOMAIN_MAX or LUT_1D_INPUT_RANGE, then lines of three equal numbers. Its bend says whether
// it goes to or from light.
func readCube(data []byte) (*curve.Curve, error) {
	head := cubeHead{low: []float64{0}, high: []float64{1}}
	var out []float64
	err := eachLine(data, func(fields []string) error {
		taken, err := head.take(fields)
		switch {
		case err == nil && head.edge > 0:
			err = errors.New("is a 3D table: a curve is one-dimensional (LUT_1D_SIZE)")
		case err == nil && !taken:
			out, err = appendEntry(out, fields, 3)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	if r := head.range1; r != nil {
		head.low, head.high = r[:1], r[1:]
	}
	bottom, err := alike(head.low)
	if err != nil {
		return nil, fmt.Errorf("DOMAIN_MIN: %w", err)
	}
	top, err := alike(head.high)
	if err != nil {
		return nil, fmt.Errorf("DOMAIN_MAX: %w", err)
	}
	return bentCurve(bottom, top, head.size1, out)
}
