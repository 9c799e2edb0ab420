package container

import (
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
)

const (
	MaxXML      = 4 << 20 // bytes of one document; real ones have a few thousand
	maxElements = 20000
	maxDepth    = 32
)

// An Element is one of an XML document. Names are local: the version that cameras write into the
// name space changes, its elements do not.
type Element struct {
	Name     string // local
	attrs    []xml.Attr
	text     []byte
	children []*Element
}

// ParseXML reads a document in UTF-8 or UTF-16 within bounds on size, depth and number of
// elements. There are no entities but the five of XML.
func ParseXML(data []byte) (*Element, error) {
	if len(data) > MaxXML {
		return nil, fmt.Errorf("XML of more than %d bytes", MaxXML)
	}
	d := xml.NewDecoder(bytes.NewReader(utf8XML(data)))
	d.CharsetReader = func(charset string, in io.Reader) (io.Reader, error) {
		if !strings.HasPrefix(strings.ToLower(charset), "utf-16") {
			return nil, fmt.Errorf("XML in %q; only UTF-8 and UTF-16 are read", charset)
		}
		return in, nil // already turned into UTF-8
	}
	root, open, count := &Element{}, []*Element{}, 0
	open = append(open, root)
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, err
		}
		top := open[len(open)-1]
		switch t := token.(type) {
		case xml.StartElement:
			if count++; count > maxElements || len(open) > maxDepth {
				return nil, errors.New("XML with too many elements")
			}
			e := &Element{Name: t.Name.Local, attrs: t.Attr}
			top.children = append(top.children, e)
			open = append(open, e)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			top.text = append(top.text, t...)
		}
	}
	if len(root.children) == 0 {
		return nil, errors.New("no XML element")
	}
	return root.children[0], nil
}

// utf8XML returns the document in UTF-8, without byte order mark and the zeros that pad it. UTF-16
// is told by its mark or by the zero byte beside the first "<".
func utf8XML(p []byte) []byte {
	switch {
	case bytes.HasPrefix(p, []byte{0xFE, 0xFF}), bytes.HasPrefix(p, []byte{0, '<'}):
		p = []byte(utf16Text(p, binary.BigEndian))
	case bytes.HasPrefix(p, []byte{0xFF, 0xFE}), bytes.HasPrefix(p, []byte{'<', 0}):
		p = []byte(utf16Text(p, binary.LittleEndian))
	}
	return bytes.TrimRight(bytes.TrimPrefix(p, []byte("\uFEFF")), "\x00")
}

// Child follows a path of names, the first of each; nil where there is none. It may be asked of nil.
func (e *Element) Child(path ...string) *Element {
	for _, name := range path {
		if e == nil {
			return nil
		}
		var next *Element
		for _, c := range e.children {
			if c.Name == name {
				next = c
				break
			}
		}
		e = next
	}
	return e
}

// Within returns the first element of a name at any depth below e, or nil.
func (e *Element) Within(name string) *Element {
	if e == nil {
		return nil
	}
	for _, c := range e.children {
		if c.Name == name {
			return c
		}
		if found := c.Within(name); found != nil {
			return found
		}
	}
	return nil
}

// Attr returns an attribute by its local name, or "". It may be asked of nil.
func (e *Element) Attr(name string) string {
	if e == nil {
		return ""
	}
	for _, a := range e.attrs {
		if a.Name.Local == name {
			return strings.TrimSpace(a.Value)
		}
	}
	return ""
}

// Content returns the text of an element, or "". It may be asked of nil.
func (e *Element) Content() string {
	if e == nil {
		return ""
	}
	return string(bytes.TrimSpace(e.text))
}

// All returns the children of a name; none of nil.
func (e *Element) All(name string) []*Element {
	if e == nil {
		return nil
	}
	var list []*Element
	for _, c := range e.children {
		if c.Name == name {
			list = append(list, c)
		}
	}
	return list
}
