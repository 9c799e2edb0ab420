package lut

import (
	"errors"
	"fmt"

	"stopledger/curve"
)

// readColumns reads rows of two numbers, light and n or light and 10-bit code, both
// increasing, apart by blanks, commas, semicolons or tabs. Text after # and one line of
// headings are skipped. Second numbers above 2 are codes, read as data codes.
func readColumns(data []byte) (*curve.Curve, error) {
	var xs, ns []float64
	headed := false
	err := eachLine(data, func(fields []string) error {
		row, err := numbers(fields)
		if err != nil && !headed && xs == nil {
			headed = true
			return nil
		}
		if err == nil && len(row) != 2 {
			err = errors.New("a row is two numbers, linear and code or n")
		}
		if err != nil {
			return err
		}
		if len(xs) == maxEntries {
			return fmt.Errorf("has more than %d rows", maxEntries)
		}
		xs, ns = append(xs, row[0]), append(ns, row[1])
		return nil
	})
	if err != nil {
		return nil, err
	}
	if len(xs) < 2 {
		return nil, errors.New("has no rows of two numbers, linear and code or n")
	}
	convention := curve.VideoScaled
	if top := ns[len(ns)-1]; top > 1023 {
		return nil, fmt.Errorf("codes go to %g: write them on the 10-bit scale, 0 to 1023", top)
	} else if top > 2 {
		convention = curve.DataCodes
		for i := range ns {
			ns[i] /= 1023
		}
	}
	s, err := curve.Points(xs, ns)
	if err != nil {
		return nil, err
	}
	c := curve.New(s, ns[len(ns)-1])
	c.Convention = convention
	return c, nil
}
