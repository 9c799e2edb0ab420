package lut

import (
	"errors"
	"fmt"
	"strings"
)

// mostEdge is how many points an edge of a three-dimensional table has at most; the Common LUT Format
// discourages more than 128.
const mostEdge = 129

// A cubeHead is what a cube file says of its entries.
type cubeHead struct {
	low, high []float64 // DOMAIN_MIN and DOMAIN_MAX, of all channels or one; nil where they are not said
	range1    []float64 // LUT_1D_INPUT_RANGE, of a table in front of a three-dimensional one or of one alone
	range3    []float64 // LUT_3D_INPUT_RANGE
	size1     int       // entries of the one-dimensional table; 0 without one
	edge      int       // points to an edge of the three-dimensional one; 0 without one
}

// take takes a line that is no entry. It tells whether it was one.
func (h *cubeHead) take(fields []string) (taken bool, err error) {
	switch key := strings.ToUpper(fields[0]); key {
	case "TITLE":
	case "LUT_1D_SIZE":
		h.size1, err = entryCount(fields[1:])
	case "LUT_3D_SIZE":
		if h.edge, err = count(fields[1:], mostEdge); err == nil && h.edge < 2 {
			err = errors.New("a table has two or more points to an edge")
		}
	case "DOMAIN_MIN":
		h.low, err = numbers(fields[1:])
	case "DOMAIN_MAX":
		h.high, err = numbers(fields[1:])
	case "LUT_1D_INPUT_RANGE":
		h.range1, err = twoNumbers(key, fields[1:])
	case "LUT_3D_INPUT_RANGE":
		h.range3, err = twoNumbers(key, fields[1:])
	default:
		return false, nil
	}
	return true, err
}

func twoNumbers(key string, fields []string) ([]float64, error) {
	v, err := numbers(fields)
	if err == nil && len(v) != 2 {
		err = fmt.Errorf("%s takes two numbers", key)
	}
	return v, err
}
