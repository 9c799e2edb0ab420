package lut

import (
	"errors"
	"slices"
	"strings"

	"stopledger/curve"
)

// A clfStep is a node ready to run.
type clfStep struct {
	node  string      // element's name
	shape curve.Shape // of a Log or LUT1D, as light is encoded; nil in a Matrix or Range
	way   direction   // of a Log or LUT1D
	top   float64     // n at the end of a LUT1D from linear
	scale affine      // of a Matrix or Range, as the node stands
	mixes bool        // channels into one another, neutrals staying neutral
}

// readCLF reads a ProcessList of one Log (any style) or LUT1D node, alike in all channels,
// with any number of Matrix and noClamp Range nodes that scale all channels alike; on the
// light's side a Matrix may also change primaries, which neutrals do not see.
//
// A Log goes the way its style says. A LUT1D goes the way that its bend says, and its
// InputDescriptor and OutputDescriptor where one of them alone speaks of linear light; if the
// two disagree it is an error. An integer bit depth on the side of n means data codes.
func readCLF(data []byte) (*curve.Curve, error) {
	list, err := parseCLF(data)
	if err != nil {
		return nil, err
	}
	steps, curveAt, err := clfSteps(list)
	if err != nil {
		return nil, err
	}
	all, err := clfChain(steps, curveAt)
	if err != nil {
		return nil, err
	}
	top, codes := 1.0, list.Nodes[len(list.Nodes)-1].Out
	if steps[curveAt].way == toLinear {
		codes = list.Nodes[0].In
	} else if steps[curveAt].node == "LUT1D" {
		top = all[curveAt+1:].Encode(steps[curveAt].top)
	}
	c := curve.New(all, top)
	if c.Name = list.Name; c.Name == "" {
		c.Name = list.ID
	}
	if strings.HasSuffix(codes, "i") {
		c.Convention = curve.DataCodes
	}
	return c, nil
}

// clfChain returns the steps in the order in which light is encoded.
func clfChain(steps []clfStep, curveAt int) (chain, error) {
	way := steps[curveAt].way
	var all chain
	for i, s := range steps {
		switch {
		case s.mixes && (i < curveAt) == (way == toLinear):
			return nil, errors.New("its Matrix mixes channels of codes: a curve is the same for each channel")
		case i == curveAt:
			all = append(all, s.shape)
		case way == toLinear:
			all = append(all, s.scale.inverse().shape())
		default:
			all = append(all, s.scale.shape())
		}
	}
	if way == toLinear {
		slices.Reverse(all)
	}
	return all, nil
}

// clfSteps makes each node a step; the one Log or LUT1D stands at curveAt.
func clfSteps(list *clfList) (steps []clfStep, curveAt int, err error) {
	curveAt = -1
	err = list.eachNode(func(n *clfNode, in, out float64) error {
		s, err := n.step(in, out, list)
		if err == nil && s.shape != nil {
			if curveAt >= 0 {
				return errors.New("is the second of two Log or LUT1D nodes: a curve is one of them")
			}
			curveAt = len(steps)
		}
		steps = append(steps, s)
		return err
	})
	if err == nil && curveAt < 0 {
		err = errors.New("has no Log or LUT1D node, so it holds no curve")
	}
	return steps, curveAt, err
}

// step makes the node a step. in and out are what 1.0 is at its bit depths.
func (n *clfNode) step(in, out float64, list *clfList) (clfStep, error) {
	s := clfStep{node: n.XMLName.Local}
	var err error
	switch s.node {
	case "Matrix":
		s.scale, s.mixes, err = n.matrix(in, out)
	case "Range":
		s.scale, err = n.scaling(in, out)
	case "Log":
		s.shape, s.way, err = n.logarithm()
	case "LUT1D":
		s.shape, s.way, s.top, err = n.table(out, list.Input, list.Output)
	default:
		err = errors.New("cannot be read as a curve: Log, LUT1D, Matrix and Range can")
	}
	return s, err
}
