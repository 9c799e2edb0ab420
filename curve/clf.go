package curve

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// maxElements bounds the tags of a CLF file, so that reading one takes no more than a moment.
const maxElements = 4096

// A clfList is a ProcessList; its Nodes are every element that has no field here, in order.
type clfList struct {
	XMLName     xml.Name
	ID          string    `xml:"id,attr"`
	Name        string    `xml:"name,attr"`
	Version     string    `xml:"compCLFversion,attr"`
	Description []string  `xml:"Description"`
	Input       string    `xml:"InputDescriptor"`
	Output      string    `xml:"OutputDescriptor"`
	Info        struct{}  `xml:"Info"`
	Nodes       []clfNode `xml:",any"`
}

type clfNode struct {
	XMLName  xml.Name
	In       string         `xml:"inBitDepth,attr"`
	Out      string         `xml:"outBitDepth,attr"`
	Style    string         `xml:"style,attr"`
	Half     string         `xml:"halfDomain,attr"`
	RawHalfs string         `xml:"rawHalfs,attr"`
	Array    *clfArray      `xml:"Array"`
	Log      []clfLogParams `xml:"LogParams"`
	MinIn    *float64       `xml:"minInValue"`
	MaxIn    *float64       `xml:"maxInValue"`
	MinOut   *float64       `xml:"minOutValue"`
	MaxOut   *float64       `xml:"maxOutValue"`
}

type clfArray struct {
	Dim  string `xml:"dim,attr"`
	Text string `xml:",chardata"`
}

// A clfStep is a node ready to run: shape as light is encoded, and which way the node goes.
type clfStep struct {
	shape    shape
	node     string
	way      direction // of a Log or LUT1D
	straight bool      // a Matrix or Range, shape being the node as it stands
	top      float64   // n at the end of a LUT1D from linear
	mixes    bool      // channels into one another, neutrals staying neutral
}

// readCLF reads a ProcessList of one Log (any style) or LUT1D node, alike in all channels,
// with any number of Matrix and noClamp Range nodes that scale all channels alike; on the
// light's side a Matrix may also change primaries, which neutrals do not see.
//
// A Log goes the way its style says. A LUT1D goes the way that its bend says, and its
// InputDescriptor and OutputDescriptor where one of them alone speaks of linear light; if the
// two disagree it is an error. An integer bit depth on the side of n means data codes.
func readCLF(data []byte) (*Curve, error) {
	if bytes.Count(data, []byte("<")) > maxElements {
		return nil, fmt.Errorf("has more than %d elements, no curve needs that", maxElements/2)
	}
	var list clfList
	if err := xml.Unmarshal(data, &list); err != nil {
		return nil, fmt.Errorf("is not readable XML: %w", err)
	}
	if list.XMLName.Local != "ProcessList" {
		return nil, fmt.Errorf("is a %.20s, not a ProcessList of the Common LUT Format", list.XMLName.Local)
	}
	if list.Version != "3" && list.Version != "3.0" {
		return nil, fmt.Errorf("is written for Common LUT Format %.20q: version 3 is read", list.Version)
	}
	steps, curveAt, err := clfSteps(&list)
	if err != nil {
		return nil, err
	}
	way := steps[curveAt].way
	var all chain
	for i, s := range steps {
		if s.mixes && (i < curveAt) == (way == toLinear) {
			return nil, errors.New("its Matrix mixes channels of codes: a curve is the same for each channel")
		}
		if l, ok := s.shape.(line); ok && way == toLinear {
			s.shape = line{1 / l.gain, -l.offset / l.gain}
		}
		all = append(all, s.shape)
	}
	c := &Curve{Name: list.Name, Convention: VideoScaled, Top: 1}
	codes := list.Nodes[len(list.Nodes)-1].Out
	if way == toLinear {
		slices.Reverse(all)
		codes = list.Nodes[0].In
	} else if steps[curveAt].node == "LUT1D" {
		c.Top = all[curveAt+1:].encode(steps[curveAt].top)
	}
	c.shape = all
	if c.Name == "" {
		c.Name = list.ID
	}
	if strings.HasSuffix(codes, "i") {
		c.Convention = DataCodes
	}
	return c, nil
}

// clfSteps makes each node a step; the one Log or LUT1D stands at curveAt.
func clfSteps(list *clfList) (steps []clfStep, curveAt int, err error) {
	curveAt = -1
	depth := ""
	for i, n := range list.Nodes {
		in, out, err := n.scales()
		if err != nil {
			return nil, 0, err
		}
		if i > 0 && n.In != depth {
			return nil, 0, fmt.Errorf("node %d takes %s where the node before gives %s", i+1, n.In, depth)
		}
		depth = n.Out
		s := clfStep{node: n.XMLName.Local, straight: true}
		switch s.node {
		case "Matrix":
			s.shape, s.mixes, err = n.matrix(in, out)
		case "Range":
			s.shape, err = n.scaling(in, out)
		case "Log":
			s.straight = false
			s.shape, s.way, err = n.logarithm()
		case "LUT1D":
			s.straight = false
			s.shape, s.way, s.top, err = n.table(out, list.Input, list.Output)
		default:
			err = errors.New("cannot be read as a curve: Log, LUT1D, Matrix and Range can")
		}
		if err != nil {
			return nil, 0, fmt.Errorf("node %d, %.20s: %w", i+1, s.node, err)
		}
		if !s.straight {
			if curveAt >= 0 {
				return nil, 0, errors.New("has two Log or LUT1D nodes: a curve is one of them")
			}
			curveAt = i
		}
		steps = append(steps, s)
	}
	if curveAt < 0 {
		return nil, 0, errors.New("has no Log or LUT1D node, so it holds no curve")
	}
	return steps, curveAt, nil
}

// scales returns what 1.0 is at the node's two bit depths: 2^bits - 1, or 1 for floats.
func (n *clfNode) scales() (in, out float64, err error) {
	known := map[string]float64{"8i": 255, "10i": 1023, "12i": 4095, "16i": 65535, "16f": 1, "32f": 1}
	in, out = known[n.In], known[n.Out]
	if in == 0 || out == 0 {
		return 0, 0, fmt.Errorf("%.20s: its bit depths %.10q and %.10q are not both one of 8i 10i 12i 16i 16f 32f",
			n.XMLName.Local, n.In, n.Out)
	}
	return in, out, nil
}
