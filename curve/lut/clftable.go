package lut

import (
	"errors"
	"fmt"
	"strings"

	"stopledger/curve"
)

// table returns a LUT1D over input 0..1, alike in its channels, the way it goes and, from
// linear, the n it ends at.
func (n *clfNode) table(out float64, input, output string) (curve.Shape, direction, float64, error) {
	if n.Half == "true" || n.RawHalfs == "true" {
		return nil, 0, 0, errors.New("is a table over half-floats: write it over 0 to 1")
	}
	columns, v, err := n.Array.values("N 1", "N 3")
	if err != nil {
		return nil, 0, 0, err
	}
	entries := make([]float64, 0, len(v)/columns)
	for i := 0; i < len(v); i += columns {
		x, err := alike(v[i : i+columns])
		if err != nil {
			return nil, 0, 0, fmt.Errorf("entry %d: %w", i/columns+1, err)
		}
		entries = append(entries, x/out)
	}
	way, err := describedWay(input, output, entries)
	if err != nil {
		return nil, 0, 0, err
	}
	s, top, err := tableShape(0, 1, entries, way)
	return s, way, top, err
}

// describedWay is the way of a table by its bend and its list's descriptors.
func describedWay(input, output string, entries []float64) (direction, error) {
	in, out := saysLinear(input), saysLinear(output)
	bent, err := bend(entries)
	if in == out {
		return bent, err
	}
	way := fromLinear
	if out {
		way = toLinear
	}
	if err == nil && bent != way {
		return 0, errors.New("bends against its InputDescriptor and OutputDescriptor: one of them takes light for code")
	}
	return way, nil
}

// saysLinear tells whether a descriptor speaks of scene-linear light.
func saysLinear(descriptor string) bool {
	d := strings.NewReplacer("non-linear", "", "nonlinear", "").Replace(strings.ToLower(descriptor))
	for _, word := range []string{"linear", "aces2065", "acescg", "scene light"} {
		if strings.Contains(d, word) {
			return true
		}
	}
	return false
}
