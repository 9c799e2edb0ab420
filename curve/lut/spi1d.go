package lut

import (
	"errors"
	"fmt"
	"strings"

	"stopledger/curve"
)

// readSpi1d reads Version 1, From low high, Length, Components and, in braces, an entry a
// line. Its bend says whether it goes to or from light.
func readSpi1d(data []byte) (*curve.Curve, error) {
	domain, size, components := []float64{0, 1}, 0, 1
	var out []float64
	err := eachLine(data, func(fields []string) error {
		var err error
		switch strings.ToLower(fields[0]) {
		case "version":
			if len(fields) != 2 || fields[1] != "1" {
				err = errors.New("is not version 1 of spi1d")
			}
		case "from":
			if domain, err = numbers(fields[1:]); err == nil && len(domain) != 2 {
				err = fmt.Errorf("%s takes two numbers", fields[0])
			}
		case "length":
			size, err = entryCount(fields[1:])
		case "components":
			if components, err = count(fields[1:], 3); err != nil {
				err = fmt.Errorf("%s: %w", fields[0], err)
			}
		case "{", "}":
		default:
			out, err = appendEntry(out, fields, components)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return bentCurve(domain[0], domain[1], size, out)
}
