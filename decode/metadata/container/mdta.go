package container

import (
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

const (
	maxKeys     = 4096
	maxKeyName  = 1024
	maxKeyValue = 4 << 20 // an XML document fits
)

// gatherKeys reads a meta box of handler mdta: names in keys, values in ilst
// (QuickTime File Format Specification, "Metadata").
func (in *Found) gatherKeys(s *source, meta box, where string) {
	list, handler := s.metaChildren(meta)
	keys, ok := first(list, "keys")
	values, ok2 := first(list, "ilst")
	if handler != "mdta" || !ok || !ok2 {
		return
	}
	names := s.keyNames(keys)
	for _, item := range s.children(values) {
		i := int64(binary.BigEndian.Uint32([]byte(item.kind))) - 1
		if i < 0 || i >= int64(len(names)) {
			continue
		}
		data, ok := s.descend(item, "data")
		if !ok {
			continue
		}
		v, err := s.keyValue(data)
		if err != nil {
			in.problemf("%s key %s: %v", where, names[i], err)
			continue
		}
		if len(in.Keys) < maxKeys {
			in.Keys = append(in.Keys, Key{strings.ToLower(names[i]), v, where + " key " + names[i]})
		}
	}
}

// keyNames reads the names in the order of their index; a name in another name space is empty.
func (s *source) keyNames(keys box) []string {
	var names []string
	for at := keys.start + 8; keys.end-at >= 8 && len(names) < maxKeys; {
		head, err := s.read(at, 8)
		if err != nil {
			break
		}
		size := int64(binary.BigEndian.Uint32(head))
		if size < 8 || size > keys.end-at {
			break
		}
		name := ""
		if string(head[4:]) == "mdta" && size-8 <= maxKeyName {
			if p, err := s.read(at+8, size-8); err == nil {
				name = Text(p)
			}
		}
		names = append(names, name)
		at += size
	}
	return names
}

func (s *source) keyValue(data box) (Value, error) {
	if data.size() < 8 {
		return Value{}, fmt.Errorf("its value is cut off")
	}
	head, err := s.read(data.start, 8)
	if err != nil {
		return Value{}, err
	}
	kind := binary.BigEndian.Uint32(head)
	if !textKind(kind) && data.size()-8 > 8 {
		return Value{}, fmt.Errorf("%d bytes of type %d are not a number or a text", data.size()-8, kind)
	}
	if data.size() > maxKeyValue {
		return Value{}, fmt.Errorf("a text of %d bytes is too long", data.size()-8)
	}
	p, err := s.read(data.start+8, data.size()-8)
	if err != nil {
		return Value{}, err
	}
	return typed(kind, p)
}

func textKind(kind uint32) bool { return kind <= 2 }

// typed decodes a value of a well-known type (QuickTime File Format Specification,
// "Well-known types"). Type 0, for which the writer gives no type, is read as a text.
func typed(kind uint32, p []byte) (Value, error) {
	switch kind {
	case 0, 1:
		if !utf8.Valid(p) {
			return Value{}, fmt.Errorf("its text is not UTF-8")
		}
		return Value{Text: Text(p)}, nil
	case 2:
		return Value{Text: Text([]byte(utf16Text(p, binary.BigEndian)))}, nil
	}
	v, ok := numeric(kind, p)
	if !ok || math.IsNaN(v) || math.IsInf(v, 0) {
		return Value{}, fmt.Errorf("%d bytes of type %d are not a number", len(p), kind)
	}
	return Value{Text: strconv.FormatFloat(v, 'g', -1, 64), Number: v, Numeric: true}, nil
}

// numeric decodes a number: 21 and 22 are integers of any length up to eight bytes, the others
// have the length of their type.
func numeric(kind uint32, p []byte) (float64, bool) {
	lengths := map[uint32]int{23: 4, 24: 8, 65: 1, 66: 2, 67: 4, 74: 8, 75: 1, 76: 2, 77: 4, 78: 8}
	n, fixed := lengths[kind]
	switch {
	case fixed && len(p) != n, len(p) == 0, len(p) > 8:
		return 0, false
	}
	var u uint64
	for _, b := range p {
		u = u<<8 | uint64(b)
	}
	switch kind {
	case 22, 75, 76, 77, 78:
		return float64(u), true
	case 21, 65, 66, 67, 74:
		unused := 64 - 8*len(p)
		return float64(int64(u<<unused) >> unused), true
	case 23:
		return float64(math.Float32frombits(uint32(u))), true
	case 24:
		return math.Float64frombits(u), true
	}
	return 0, false
}
