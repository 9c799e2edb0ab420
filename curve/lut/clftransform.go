package lut

import (
	"errors"
	"fmt"
	"math"

	"stopledger/curve"
)

// clfTransform reads a ProcessList as a transform: Matrix, Range, LUT1D, LUT3D, Log, Exponent and
// ASC_CDL nodes in any number and order, with the channels' own parameters where they have some. What
// a node clamps is clamped.
func clfTransform(data []byte) (steps []step, err error) {
	list, err := parseCLF(data)
	if err != nil {
		return nil, err
	}
	err = list.eachNode(func(n *clfNode, in, out float64) error {
		s, err := n.transform(in, out)
		steps = append(steps, s)
		return err
	})
	if err == nil && len(steps) == 0 {
		err = errors.New("has no node, so it changes nothing")
	}
	return steps, err
}

// transform makes the node a step. in and out are what 1.0 is at its bit depths.
func (n *clfNode) transform(in, out float64) (step, error) {
	switch n.XMLName.Local {
	case "Matrix":
		return n.mixing(in, out)
	case "Range":
		return n.ranging(in, out)
	case "LUT1D":
		return n.lookup(out)
	case "LUT3D":
		return n.lattice(out)
	case "Log":
		shapes, way, err := n.logs()
		return &shaped{shapes, way}, err
	case "Exponent":
		return n.powers()
	case "ASC_CDL":
		return n.decision()
	}
	return nil, errors.New("is not known: Matrix, Range, LUT1D, LUT3D, Log, Exponent and ASC_CDL are")
}

// A mixing is R, G, B times a matrix, plus a column.
type mixing [3][4]float64

func (m *mixing) apply(rgb *[3]float64) {
	was := *rgb
	for c, row := range m {
		rgb[c] = row[0]*was[0] + row[1]*was[1] + row[2]*was[2] + row[3]
	}
}

func (n *clfNode) mixing(in, out float64) (step, error) {
	columns, v, err := n.Array.values("3 3", "3 3 3", "3 4", "3 4 3")
	if err != nil {
		return nil, err
	}
	var m mixing
	for row := range 3 {
		for c := range columns {
			scale := in / out
			if c == 3 {
				scale = 1 / out
			}
			m[row][c] = v[row*columns+c] * scale
		}
	}
	return &m, nil
}

// A ranging scales each channel and holds it between two ends.
type ranging struct {
	line      affine
	low, high float64
}

func (r *ranging) apply(rgb *[3]float64) {
	for c, x := range rgb {
		rgb[c] = min(max(r.line.gain*x+r.line.offset, r.low), r.high)
	}
}

// ranging returns a Range: with all four values it scales; with one pair it only holds one end.
func (n *clfNode) ranging(in, out float64) (step, error) {
	for _, v := range []*float64{n.MinIn, n.MaxIn, n.MinOut, n.MaxOut} {
		if v != nil && !curve.Finite(*v) {
			return nil, errors.New("one of its values is not a number")
		}
	}
	r := &ranging{affine{1, 0}, math.Inf(-1), math.Inf(1)}
	least, most := n.MinIn != nil, n.MaxIn != nil
	switch {
	case least != (n.MinOut != nil) || most != (n.MaxOut != nil) || !least && !most:
		return nil, errors.New("needs minInValue with minOutValue, maxInValue with maxOutValue, or both pairs")
	case least && most:
		r.line = affineThrough(*n.MinIn/in, *n.MinOut/out, *n.MaxIn/in, *n.MaxOut/out)
		if !(*n.MinIn < *n.MaxIn) || !(*n.MinOut <= *n.MaxOut) {
			return nil, errors.New("its values do not rise")
		}
	case n.Style == "noClamp":
		return nil, errors.New("with noClamp needs minInValue, maxInValue, minOutValue and maxOutValue")
	}
	if n.Style == "noClamp" {
		return r, nil
	}
	if least {
		r.low = *n.MinOut / out
	}
	if most {
		r.high = *n.MaxOut / out
	}
	const printed = 1e-6
	if !most && math.Abs(*n.MinIn/in-r.low) > printed || !least && math.Abs(*n.MaxIn/in-r.high) > printed {
		return nil, errors.New("with one pair of values must not scale")
	}
	return r, nil
}

// shaped is a shape in each channel.
type shaped struct {
	shapes [3]curve.Shape
	way    direction
}

func (s *shaped) apply(rgb *[3]float64) {
	for c, x := range rgb {
		if s.way == fromLinear {
			rgb[c] = s.shapes[c].Encode(x)
		} else {
			rgb[c] = s.shapes[c].Decode(x)
		}
	}
}

// lookup returns a LUT1D over 0..1, or over all half-floats.
func (n *clfNode) lookup(out float64) (step, error) {
	columns, v, err := n.Array.values("N 1", "N 3")
	switch {
	case err != nil:
		return nil, err
	case n.Hue != "" && n.Hue != "none":
		return nil, fmt.Errorf("its hueAdjust %.10q is not known", n.Hue)
	case n.Between != "" && n.Between != "linear":
		return nil, fmt.Errorf("its interpolation %.10q is not linear", n.Between)
	}
	if n.RawHalfs == "true" {
		if err := fromRawHalfs(v); err != nil {
			return nil, err
		}
	}
	var entries [3][]float64
	for c := range 3 {
		entries[c] = make([]float64, len(v)/columns)
		for i := range entries[c] {
			entries[c][i] = v[i*columns+min(c, columns-1)]
			if n.RawHalfs != "true" {
				entries[c][i] /= out
			}
		}
	}
	if n.Half == "true" {
		if len(entries[0]) != halfs {
			return nil, fmt.Errorf("is over half-floats and has %d entries, not %d", len(entries[0]), halfs)
		}
		return &halfLookup{entries}, nil
	}
	evenly, err := inputs([3]float64{}, [3]float64{1, 1, 1}, len(entries[0]))
	return &lookup{evenly, entries}, err
}

// lattice returns a LUT3D, of whose points blue changes fastest.
func (n *clfNode) lattice(out float64) (step, error) {
	edge, err := n.Array.edge()
	if err != nil {
		return nil, err
	}
	v, err := n.Array.all(3 * edge * edge * edge)
	if err != nil {
		return nil, err
	}
	l := &lattice{values: make([]float32, len(v)), trilinear: true}
	switch n.Between {
	case "", "trilinear":
	case "tetrahedral":
		l.trilinear = false
	default:
		return nil, fmt.Errorf("its interpolation %.10q is neither trilinear nor tetrahedral", n.Between)
	}
	if l.evenInputs, err = inputs([3]float64{}, [3]float64{1, 1, 1}, edge); err != nil {
		return nil, err
	}
	for i := range edge * edge * edge {
		to := l.place(i/edge/edge, i/edge%edge, i%edge)
		for c := range 3 {
			l.values[to+c] = float32(v[3*i+c] / out)
		}
	}
	return l, nil
}
