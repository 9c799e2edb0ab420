package lut

import (
	"bytes"
	"encoding/xml"
	"fmt"
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
	Between  string         `xml:"interpolation,attr"`
	Hue      string         `xml:"hueAdjust,attr"`
	Array    *clfArray      `xml:"Array"`
	Log      []clfLogParams `xml:"LogParams"`
	Exponent []clfExponent  `xml:"ExponentParams"`
	SOP      *clfSOP        `xml:"SOPNode"`
	Sat      *clfSat        `xml:"SatNode"`
	MinIn    *float64       `xml:"minInValue"`
	MaxIn    *float64       `xml:"maxInValue"`
	MinOut   *float64       `xml:"minOutValue"`
	MaxOut   *float64       `xml:"maxOutValue"`

	line int // of the file, where it begins
}

// UnmarshalXML notes the node's line.
func (n *clfNode) UnmarshalXML(d *xml.Decoder, start xml.StartElement) error {
	n.line, _ = d.InputPos()
	type plain clfNode // without this method
	return d.DecodeElement((*plain)(n), &start)
}

// A clfExponent are the parameters of an Exponent node; nil where an attribute is left out.
type clfExponent struct {
	Channel  string   `xml:"channel,attr"`
	Exponent *float64 `xml:"exponent,attr"`
	Offset   *float64 `xml:"offset,attr"`
}

type clfSOP struct {
	Slope  string `xml:"Slope"`
	Offset string `xml:"Offset"`
	Power  string `xml:"Power"`
}

type clfSat struct {
	Saturation *float64 `xml:"Saturation"`
}

// A clfLogParams element; nil where an attribute is left out.
type clfLogParams struct {
	Channel       string   `xml:"channel,attr"`
	Base          *float64 `xml:"base,attr"`
	LogSideSlope  *float64 `xml:"logSideSlope,attr"`
	LogSideOffset *float64 `xml:"logSideOffset,attr"`
	LinSideSlope  *float64 `xml:"linSideSlope,attr"`
	LinSideOffset *float64 `xml:"linSideOffset,attr"`
	LinSideBreak  *float64 `xml:"linSideBreak,attr"`
	LinearSlope   *float64 `xml:"linearSlope,attr"`
}

// parseCLF reads a ProcessList of version 3.
func parseCLF(data []byte) (*clfList, error) {
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
	return &list, nil
}

// eachNode calls use with the nodes in order and with what 1.0 is at their bit depths, and puts line
// and node before its error. A node must take the depth that the one before gives.
func (l *clfList) eachNode(use func(n *clfNode, in, out float64) error) error {
	for i := range l.Nodes {
		n := &l.Nodes[i]
		in, out, err := n.scales()
		if err == nil && i > 0 && n.In != l.Nodes[i-1].Out {
			err = fmt.Errorf("takes %s where the node before gives %s", n.In, l.Nodes[i-1].Out)
		}
		if err == nil {
			err = use(n, in, out)
		}
		if err != nil {
			return fmt.Errorf("line %d: node %d, %.20s: %w", n.line, i+1, n.XMLName.Local, err)
		}
	}
	return nil
}

// scales returns what 1.0 is at the node's two bit depths: 2^bits - 1, or 1 for floats.
func (n *clfNode) scales() (in, out float64, err error) {
	known := map[string]float64{"8i": 255, "10i": 1023, "12i": 4095, "16i": 65535, "16f": 1, "32f": 1}
	in, out = known[n.In], known[n.Out]
	if in == 0 || out == 0 {
		return 0, 0, fmt.Errorf("its bit depths %.10q and %.10q are not both one of 8i 10i 12i 16i 16f 32f", n.In, n.Out)
	}
	return in, out, nil
}
