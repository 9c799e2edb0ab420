package lut

import (
	"errors"
	"fmt"
	"strings"

	"stopledger/curve"
)

// readCube reads a one-dimensional cube table: LUT_1D_SIZE, optional TITLE, DOMAIN_MIN and
// DOMAIN_MAX or LUT_1D_INPUT_RANGE, then lines of three equal numbers. Its bend says whether
// it goes to or from light.
func readCube(data []byte) (*curve.Curve, error) {
	low, high, size := []float64{0}, []float64{1}, 0
	var out []float64
	err := eachLine(data, func(fields []string) error {
		var err error
		switch strings.ToUpper(fields[0]) {
		case "TITLE":
		case "LUT_3D_SIZE":
			err = errors.New("is a 3D table: a curve is one-dimensional (LUT_1D_SIZE)")
		case "LUT_1D_SIZE":
			size, err = entryCount(fields[1:])
		case "DOMAIN_MIN":
			low, err = numbers(fields[1:])
		case "DOMAIN_MAX":
			high, err = numbers(fields[1:])
		case "LUT_1D_INPUT_RANGE":
			var both []float64
			if both, err = numbers(fields[1:]); err == nil && len(both) != 2 {
				err = errors.New("LUT_1D_INPUT_RANGE takes two numbers")
			}
			if err == nil {
				low, high = both[:1], both[1:]
			}
		default:
			out, err = appendEntry(out, fields, 3)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	bottom, err := alike(low)
	if err != nil {
		return nil, fmt.Errorf("DOMAIN_MIN: %w", err)
	}
	top, err := alike(high)
	if err != nil {
		return nil, fmt.Errorf("DOMAIN_MAX: %w", err)
	}
	return bentCurve(bottom, top, size, out)
}
